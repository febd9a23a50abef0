"""Devices that are let in, and the codes that let them in."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from waytell.documents.base import Document

Right = Literal["watch", "operate"]
"""`watch` sees everything and changes nothing; `operate` does what the person at the lathe does."""

DeviceName = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=40, pattern=r"^[^\x00-\x1f]+$")
]


class Device(Document):
    """A device that was let in, as others may know of it."""

    id: str
    name: DeviceName
    role: Right
    since: str
    """Day on which it was let in, YYYY-MM-DD."""
    seen: str
    """Day on which it was last here."""


class Devices(Document):
    devices: tuple[Device, ...]


class CodeAsked(Document):
    role: Right = "watch"


class CodeShown(Document):
    """A code for one device, good once and for a few minutes."""

    code: str
    role: Right
    address: str
    """Where the device is to go, with the code in the part that is never sent."""
    qr_svg: str
    """The address as a QR code (ISO/IEC 18004), an SVG as a data address."""
    good_for_s: float


class Pairing(Document):
    """What a device says to be let in."""

    code: Annotated[str, Field(max_length=20)]
    name: DeviceName


class Revoked(Document):
    id: str


class Whose(Document):
    """As whom the one who asks is known."""

    role: Right | None
    """Null for a device that was not let in."""
    here: bool
    """At the computer that Waytell runs on."""
    name: str | None
