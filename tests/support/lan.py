"""A Waytell that listens on the network, as devices elsewhere and this computer see it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest

from support.running import Waytell, waytell
from waytell.opening import own_address

ADDRESS = own_address()
needs_network = pytest.mark.skipif(ADDRESS is None, reason="this computer has no address but its own")


@contextmanager
def on_the_network(source: str, folder: Path, *more: str) -> Iterator[tuple[Waytell, str]]:
    """The program, and its address for devices elsewhere: asked for by that, it sees an address not its own."""
    with waytell("run", "--source", source, "--data", str(folder), "--lan", *more) as running:
        scheme, _, rest = running.url.partition("://")
        yield running, f"{scheme}://{ADDRESS}:{rest.rsplit(':', 1)[1]}"


@contextmanager
def let_in(running: Waytell, elsewhere: str, role: str, name: str = "phone") -> Iterator[httpx.Client]:
    """A device that was let in, as a browser would ask."""
    code = running.client.post("/api/devices/code", json={"role": role}).raise_for_status().json()["code"]
    with httpx.Client(base_url=elsewhere, headers={"Origin": elsewhere}, timeout=10) as device:
        device.post("/api/pair", json={"code": code, "name": name}).raise_for_status()
        yield device
