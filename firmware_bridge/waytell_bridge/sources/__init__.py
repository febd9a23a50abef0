"""Where bytes come from, by address: a serial port, a socket, or a recorded wire log.

A source is opened, read and written by one thread, the bridge's. Whatever its driver raises becomes one of two
errors here, once, with words a person can act on. A simulated lathe serves a socket and is read as one.
"""

from __future__ import annotations

from typing import Protocol


class SourceError(Exception):
    """The source cannot be opened or was lost; the message says what to do."""


class SourceEnded(Exception):  # noqa: N818 - a recording that ends is no error
    """A recording has come to its end."""


class Source(Protocol):
    address: str

    def open(self) -> None:
        """Open it, or raise SourceError."""

    def read(self) -> bytes:
        """What has come; waits a short while where there is nothing, then gives no bytes."""

    def write(self, data: bytes) -> None: ...
    def close(self) -> None: ...


def make_source(address: str, baud: int) -> Source:
    """The source for an address; nothing is opened yet."""
    # Imported here so that a missing driver of one kind never stops another.
    if address.endswith(".wirelog"):
        from waytell_bridge.sources.recorded import RecordedSource  # noqa: PLC0415

        return RecordedSource(address)
    from waytell_bridge.sources.serial_port import SerialSource  # noqa: PLC0415

    return SerialSource(address, baud)
