"""The door of one server: its devices, its codes and its limits, with the clock they are judged by."""

from __future__ import annotations

import ipaddress
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from waytell.access.codes import GOOD_FOR_S, Codes
from waytell.access.devices import KnownDevices
from waytell.access.limits import Limit
from waytell.access.rules import Who
from waytell.documents.access import CodeShown, Right

COOKIE = "waytell"
# A page asks for some 80 files when it is opened, then for little: its figures come over the live stream.
REQUESTS_PER_S, REQUESTS_AT_ONCE = 40.0, 400
PAIRINGS_PER_S, PAIRINGS_AT_ONCE = 0.1, 10


class Door:
    def __init__(self, folder: Path, address: str, clock: Callable[[], float] = time.monotonic) -> None:
        """`address` is where devices elsewhere reach this server.

        Raises:
            DevicesError: the file of devices cannot be read.
        """
        self.devices = KnownDevices(folder)
        self.address = address
        self._codes = Codes()
        self._clock = clock
        self._requests = Limit(REQUESTS_PER_S, REQUESTS_AT_ONCE)
        self._pairings = Limit(PAIRINGS_PER_S, PAIRINGS_AT_ONCE)

    @property
    def secure(self) -> bool:
        return self.address.startswith("https:")

    @property
    def cookie(self) -> str:
        """Its name; with the prefix a browser takes it from nobody else and sends it nowhere else (RFC 6265bis)."""
        return f"__Host-{COOKIE}" if self.secure else COOKIE

    def who(self, address: str, key: str | None) -> Who:
        """Somebody at this computer operates; a device elsewhere is what it was let in as."""
        if _is_here(address):
            return Who(here=True, role="operate")
        device = self.devices.whose(key) if key else None
        if device is None or not key:
            return Who(here=False, role=None)
        return Who(here=False, role=device.role, device_id=device.id, name=device.name)

    def wait_s(self, address: str, path: str) -> float:
        """0, or after how many seconds this address may ask again. Nobody waits at this computer itself."""
        if _is_here(address):
            return 0.0
        limit = self._pairings if path == "/api/pair" else self._requests
        return limit.wait_s(address, self._clock())

    def show_code(self, role: Right) -> CodeShown:
        import segno  # noqa: PLC0415 - slow to load, and seldom wanted

        code = self._codes.show(role, self._clock())
        # After the # sign: a browser keeps that to itself.
        address = f"{self.address}pair#{code}"
        drawn = segno.make_qr(address, error="m").svg_data_uri(border=4, scale=6, dark="#000", light="#fff")
        return CodeShown(code=code, role=role, address=address, qr_svg=drawn, good_for_s=GOOD_FOR_S)

    def let_in(self, code: str, name: str) -> str:
        """The key of a device that told the right code.

        Raises:
            WrongCode, DevicesError: with what to do.
        """
        return self.devices.let_in(name, self._codes.take(code, self._clock()), today())


def today() -> str:
    return datetime.now(UTC).date().isoformat()


def _is_here(address: str) -> bool:
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False
