"""The far end of a flashing: a boot loader behind a pseudo terminal, as the chip's serial boot loaders answer.

It speaks version 1 of the chip maker's published serial programming protocol as far as the flashing program asks.
"""

from __future__ import annotations

import os
import pty
import select
import threading
import tty
from typing import Self

IN_SYNC, OK, END = b"\x14", b"\x10", 0x20
SIGNATURE = b"\x1e\x95\x0f"
# Bytes that follow a command before its end mark; a page to write says its own length.
LENGTHS = {0x30: 0, 0x41: 1, 0x42: 20, 0x45: 5, 0x50: 0, 0x51: 0, 0x55: 2, 0x56: 4, 0x74: 3, 0x75: 0}


class BootLoader:
    def __init__(self, *, signature: bytes = SIGNATURE, spoils: bool = False, garbled: bool = False) -> None:
        self.flash = b""
        self._signature, self._spoils, self._garbled = signature, spoils, garbled
        self._at = 0
        self._near, self._far = pty.openpty()
        tty.setraw(self._far)
        self.port = os.ttyname(self._far)
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._serve, daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stopping.set()
        self._thread.join(5)
        os.close(self._far)
        os.close(self._near)

    def _serve(self) -> None:
        while not self._stopping.is_set():
            if select.select([self._near], [], [], 0.05)[0]:
                self._take(self._read(1)[0])

    def _read(self, length: int) -> bytes:
        data = b""
        while len(data) < length and not self._stopping.is_set():
            if select.select([self._near], [], [], 0.05)[0]:
                data += os.read(self._near, length - len(data))
        return data.ljust(length, b"\0")

    def _take(self, command: int) -> None:
        if self._garbled:
            os.write(self._near, b"\xfe")
            return
        if command == 0x64:
            answer = self._write_page()
        elif command in LENGTHS:
            answer = self._answer(command, self._read(LENGTHS[command]))
        else:
            return
        if self._read(1)[0] == END:
            os.write(self._near, IN_SYNC + answer + OK)

    def _answer(self, command: int, more: bytes) -> bytes:
        if command == 0x55:
            self._at = int.from_bytes(more, "little") * 2
        elif command == 0x75:
            return self._signature
        elif command == 0x74:
            length = int.from_bytes(more[:2], "big")
            return self.flash[self._at : self._at + length].ljust(length, b"\xff")
        elif command == 0x41:
            return b"\x03"
        elif command == 0x56:
            return bytes((self._signature[more[2]] if more[0] == 0x30 else 0,))
        return b""

    def _write_page(self) -> bytes:
        length = int.from_bytes(self._read(3)[:2], "big")
        page = bytearray(self._read(length))
        if self._spoils:
            page[5] ^= 0x40
        self.flash = self.flash[: self._at].ljust(self._at, b"\xff") + bytes(page) + self.flash[self._at + length :]
        return b""
