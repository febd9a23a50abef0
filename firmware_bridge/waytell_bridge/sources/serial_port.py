"""Serial ports and the addresses that pyserial knows: COM5, /dev/ttyUSB0, socket://, rfc2217://, loop://.

Opening a port restarts many boards by its DTR line: it is asked to stay low, and a restart is expected anyway.
"""

from __future__ import annotations

import errno
import socket
from contextlib import suppress
from urllib.parse import urlsplit

import serial

from waytell_bridge.sources import SourceError

WAIT_S = 0.02
WRITE_WAIT_S = 1.0
NETWORK = ("socket", "rfc2217")
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
        _check_network_address(self.address)
        try:
            port = serial.serial_for_url(self.address, do_not_open=True)
            port.baudrate = self._baud
            port.timeout = WAIT_S
            # Two programs on one port would each read a part of every line.
            port.exclusive = True
            # A board that takes no bytes must not hold up the reading. RFC 2217 in pyserial knows no such limit.
            if not self.address.startswith("rfc2217:"):
                port.write_timeout = WRITE_WAIT_S
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
            raise SourceError(_gone(self.address)) from error
        return data

    def write(self, data: bytes) -> None:
        try:
            self._open_port().write(data)
        except DRIVER_ERRORS as error:
            raise SourceError(f"The board on {self.address} takes no bytes: unplugged?") from error

    def close(self) -> None:
        if self._port is None:
            return
        # Where the other end broke the connection off, pyserial 3.5 leaves its socket open.
        line: socket.socket | None = getattr(self._port, "_socket", None)
        with suppress(*DRIVER_ERRORS):
            self._port.close()
        if line is not None:
            line.close()
        self._port = None

    def _open_port(self) -> serial.Serial:
        if self._port is None:
            raise SourceError(f"{self.address} is not open.")
        return self._port


def _check_network_address(address: str) -> None:
    """Pyserial's own words for a missing port number are those of a type error."""
    scheme = address.partition("://")[0]
    if scheme not in NETWORK:
        return
    try:
        parts = urlsplit(address)
        complete = bool(parts.hostname and parts.port)
    except ValueError:
        complete = False
    if not complete:
        raise SourceError(f"{address} needs the name of a host and a port number, such as {scheme}://lathe.local:5000.")


def _gone(address: str) -> str:
    if address.partition("://")[0] in NETWORK:
        return f"{address} has closed the connection. Is the device at the lathe on, and the network up?"
    return f"The board on {address} is gone: unplugged, or its cable is loose."


def _cannot_open(address: str, error: Exception) -> str:
    reason = getattr(error, "errno", None)
    text = str(error)
    if address.partition("://")[0] in NETWORK:
        return _no_answer(address, text)
    if reason == errno.EACCES or "Permission" in text or "denied" in text:
        return (
            f"{address} may not be opened: permission denied. On Linux add yourself to the dialout group "
            "(sudo usermod -a -G dialout $USER) and log in again; elsewhere close the program that holds the port."
        )
    if reason in (errno.EBUSY, errno.EAGAIN) or "busy" in text:
        return f"{address} is in use by another program. Close it; on Linux a braille service may seize the chip."
    if reason == errno.ENOENT or "FileNotFound" in text or "No such file" in text:
        return f"There is no {address}. Is the board plugged in? The command waytell ports lists what there is."
    if isinstance(error, ValueError):
        return f"{address} is no address of a port: {error}."
    return f"{address} cannot be opened: {text}. Is it the board's port? The command waytell ports lists what there is."


def _no_answer(address: str, text: str) -> str:
    if "does not accept parameter" in text:
        return f"{address} does not take the speed that the board uses. Set it at the device itself."
    if "does not seem to support" in text:
        return f"{address} answers, but not as RFC 2217. If it passes bytes on as they are, use socket:// instead."
    # Pyserial 3.5 wants to name the option and stumbles over the braces in its own words.
    if "debug|info" in text:
        return f"{address} has an option after its question mark that there is not."
    reason = text.removeprefix(f"Could not open port {address}: ").rpartition("] ")[2]
    return (
        f"Nothing answers at {address} ({reason}). Is the device at the lathe on, the network up, and the port number "
        "right?"
    )
