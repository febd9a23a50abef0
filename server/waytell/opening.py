"""Opens the one address that a server listens on: for this computer only, or for devices that are let in."""

from __future__ import annotations

import ipaddress
import socket
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from waytell.access.door import Door
from waytell.http.serving import CannotListen, Opening, listen

if TYPE_CHECKING:
    from waytell.access.certificate import Certificate


class Place(NamedTuple):
    """Where to serve and keep; `data` None is the person's own data folder."""

    host: str
    port: int
    data: Path | None
    browser: bool
    record: Path | None
    journal: str | None = None
    """Address of the database that keeps the journal, where it is not in the data folder."""
    lan: bool = False
    """Whether devices elsewhere may reach it."""
    tls: bool = False


def opened(place: Place, folder: Path) -> Opening:
    """Listen, with what lets devices in.

    Raises:
        CannotListen, ValueError: with what to do.
    """
    host = "0.0.0.0" if place.lan else place.host  # noqa: S104 - asked for by --lan; the gate lets in who was let in
    certificate = _certificate(folder) if place.tls else None
    listener = listen(host, place.port)
    try:
        url = _address(listener, "https" if place.tls else "http", elsewhere=False)
        door = Door(folder, _address(listener, "https" if place.tls else "http", elsewhere=True))
    except BaseException:
        listener.close()
        raise
    return Opening(listener, door, certificate, url)


def tell_where(opening: Opening, what: str) -> None:
    click.echo(f"Waytell shows {what} at {opening.url}  (Ctrl-C stops it)")
    if opening.door.address != opening.url:
        click.echo(
            f"Other devices: {opening.door.address}  They are let in by a code, shown here:  waytell devices add"
        )
    if opening.certificate is not None:
        click.echo(f"Certificate, SHA-256: {opening.certificate.fingerprint}")


def _certificate(folder: Path) -> Certificate:
    from waytell.access.certificate import own_certificate  # noqa: PLC0415 - slow to load, and wanted with --tls only

    address = own_address()
    try:
        return own_certificate(folder, (address,) if address else (), datetime.now(UTC))
    except OSError as error:
        raise CannotListen(
            f"The certificate cannot be kept in {folder}: {error.strerror}. Choose another --data."
        ) from error


def _address(listener: socket.socket, scheme: str, *, elsewhere: bool) -> str:
    """As this computer reaches it, or as devices elsewhere do."""
    host, port = listener.getsockname()[:2]
    if ipaddress.ip_address(host).is_unspecified:
        host = (own_address() or socket.gethostname()) if elsewhere else ("::1" if ":" in host else "127.0.0.1")
    return f"{scheme}://{f'[{host}]' if ':' in host else host}:{port}/"


def own_address() -> str | None:
    """This computer's address on its network; None where it is on none. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            # An address of the documentation's (RFC 5737): only the way to it is looked up.
            asking.connect(("203.0.113.1", 9))
        except OSError:
            return None
        address = str(asking.getsockname()[0])
        return None if ipaddress.ip_address(address).is_loopback else address
