"""The devices that were let in: kept in a file of the data folder, with no key that could be used if it were read.

A device's key is 256 random bits; of it only the SHA-256 is stored. Such a key cannot be guessed, so that no slow hash
is wanted.
"""

from __future__ import annotations

import hashlib
import secrets
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Literal

from pydantic import Field, ValidationError

from waytell.access.whole_file import write_whole
from waytell.documents.access import Device, Right
from waytell.documents.base import Document

FILE = "devices.json"
MOST_DEVICES = 100


class DevicesError(ValueError):
    """With what to do."""


class _Kept(Document):
    device: Device
    key_sha256: str


class _File(Document):
    version: Literal[1] = 1
    devices: tuple[_Kept, ...] = Field(())


class KnownDevices:
    """May be used from any thread."""

    def __init__(self, folder: Path, gone: Callable[[str], None] = lambda _: None) -> None:
        """`gone` is called with the id of a device that was taken away.

        Raises:
            DevicesError: the file cannot be read.
        """
        self._path = folder / FILE
        self._lock = threading.Lock()
        self._by_key = {one.key_sha256: one.device for one in _read(self._path).devices}
        self.gone = gone

    def let_in(self, name: str, role: Right, today: str) -> str:
        """A new device's key, which is told this once.

        Raises:
            DevicesError: there are too many, or the file cannot be written: then it is not let in.
        """
        key = secrets.token_urlsafe(32)
        with self._lock:
            if len(self._by_key) >= MOST_DEVICES:
                raise DevicesError("No more devices can be let in. Take one away first.")
            device = Device(id=secrets.token_hex(4), name=name, role=role, since=today, seen=today)
            self._write({**self._by_key, _sum_of(key): device})
        return key

    def whose(self, key: str) -> Device | None:
        return self._by_key.get(_sum_of(key))

    def seen(self, key: str, today: str) -> None:
        """Noted once a day; where the disk is full it is not noted, and nothing else is amiss."""
        device = self.whose(key)
        if device is None or device.seen == today:
            return
        with self._lock:
            noted = {**self._by_key, _sum_of(key): device.model_copy(update={"seen": today})}
            self._by_key = noted
            try:
                self._write(noted)
            except DevicesError:
                return

    def take_away(self, device_id: str) -> bool:
        """Whether there was such a device; from now on it is not let in, also where that cannot be stored.

        Raises:
            DevicesError: it is kept out, but would be let in again after a start of the program.
        """
        with self._lock:
            left = {key: one for key, one in self._by_key.items() if one.id != device_id}
            was_there = len(left) < len(self._by_key)
            self._by_key = left
            if was_there:
                self.gone(device_id)
                self._write(left)
        return was_there

    def all(self) -> tuple[Device, ...]:
        return tuple(sorted(self._by_key.values(), key=lambda one: (one.since, one.name, one.id)))

    def _write(self, by_key: dict[str, Device]) -> None:
        kept = tuple(_Kept(device=device, key_sha256=key) for key, device in by_key.items())
        try:
            write_whole(self._path, _File(devices=kept).model_dump_json(indent=1).encode(), 0o600)
        except OSError as error:
            raise DevicesError(
                f"{self._path} cannot be written: {error.strerror}. Make room, then try again."
            ) from error
        self._by_key = by_key


def _read(path: Path) -> _File:
    try:
        return _File.model_validate_json(path.read_bytes())
    except (FileNotFoundError, NotADirectoryError):
        return _File()
    except (OSError, ValidationError) as error:
        raise DevicesError(
            f"{path} cannot be read. Put back a backup, or remove it and let every device in anew."
        ) from error


def _sum_of(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()
