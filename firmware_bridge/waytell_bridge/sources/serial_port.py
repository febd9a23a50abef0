"""Serial ports and the addresses that pyserial knows: COM5, /dev/ttyUSB0, socket://, rfc2217://, loop://.

Opening a port restarts many boards by its DTR line: it is asked to stay low, and a restart is expected anyway.
"""

from __future__ import annotations

import errno
from contextlib import suppress

import serial

from waytell_bridge.sources import SourceError

WAIT_S = 0.02
MOST_BYTES = 4096

# pyserial raises by platform OSError, its own SerialException (an OSError), termios.error (which is neither) or, where
# a thread closed the port, TypeError. Converted here, once.
try:
    from termios import error as _termios_error

    DRIVER_ERRORS: tuple[type[Exception], ...] = (OSError, ValueError, TypeError, _termios_error)
except ImportError:  # Windows
    DRIVER_ERRORS = (OSError, ValueError, TypeError)


class SerialSource:
    def __init__(self, address: str, baud: int) -> None:
        self.address = address
        self._baud = baud
        self._port: serial.Serial | None = None
        # A socket says only whether something waits, not how much: it is read by a wait and a grab.
        self._is_socket = address.startswith("socket://")

    def open(self) -> None:
        try:
            port = serial.serial_for_url(self.address, do_not_open=True)
            port.baudrate = self._baud
            port.timeout = WAIT_S
            port.dtr = False
            port.open()
        except DRIVER_ERRORS as error:
            raise SourceError(_cannot_open(self.address, error)) from error
        self._port = port

    def read(self) -> bytes:
        port = self._open_port()
        try:
            data: bytes = port.read(1)
            if not data:
                return data
            if self._is_socket:
                port.timeout = 0
                data += port.read(MOST_BYTES)
                port.timeout = WAIT_S
            elif waiting := port.in_waiting:
                data += port.read(min(waiting, MOST_BYTES))
        except DRIVER_ERRORS as error:
            raise SourceError(f"The board on {self.address} is gone: unplugged, or its cable is loose.") from error
        return data

    def write(self, data: bytes) -> None:
        try:
            self._open_port().write(data)
        except DRIVER_ERRORS as error:
            raise SourceError(f"The board on {self.address} takes no bytes: unplugged?") from error

    def close(self) -> None:
        if self._port is not None:
            with suppress(*DRIVER_ERRORS):
                self._port.close()
            self._port = None

    def _open_port(self) -> serial.Serial:
        if self._port is None:
            raise SourceError(f"{self.address} is not open.")
        return self._port


def _cannot_open(address: str, error: Exception) -> str:
    reason = getattr(error, "errno", None)
    text = str(error)
    if reason == errno.EACCES or "Permission" in text or "denied" in text:
        return (
            f"{address} may not be opened: permission denied. On Linux add yourself to the dialout group "
            "(sudo usermod -a -G dialout $USER) and log in again; elsewhere close the program that holds the port."
        )
    if reason == errno.EBUSY or "busy" in text:
        return f"{address} is in use by another program. Close it; on Linux a braille service may seize the chip."
    if reason == errno.ENOENT or "FileNotFound" in text or "No such file" in text:
        return f"There is no {address}. Is the board plugged in? The command waytell ports lists what there is."
    if isinstance(error, ValueError):
        return f"{address} is no address of a port: {error}."
    return f"{address} cannot be opened: {text}."
