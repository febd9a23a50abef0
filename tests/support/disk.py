"""Disks that are full, read-only or damaged, made for real."""

from __future__ import annotations

import os
import resource
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random

PAGE = 4096


@contextmanager
def file_size_limit(limit_bytes: int, pid: int = 0) -> Iterator[None]:
    """No file of a process can grow beyond this, as on a disk without room."""
    was = resource.prlimit(pid, resource.RLIMIT_FSIZE)
    resource.prlimit(pid, resource.RLIMIT_FSIZE, (limit_bytes, was[1]))
    try:
        yield
    finally:
        resource.prlimit(pid, resource.RLIMIT_FSIZE, was)


@contextmanager
def small_disk(at: Path, size: str) -> Iterator[Callable[[str], None]]:
    """A disk of its own at a folder, kept in memory; call it with mount options to change it. Needs root."""
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "none", str(at)], check=True)

    def change(options: str) -> None:
        subprocess.run(["mount", "-o", f"remount,{options}", str(at)], check=True)

    try:
        yield change
    finally:
        # Lazily: a program that has only just been killed may still hold a file.
        subprocess.run(["umount", "-l", str(at)], check=True)


def may_mount() -> bool:
    return os.geteuid() == 0 and subprocess.run(["unshare", "-m", "true"], check=False).returncode == 0


def overwrite(file: Path, first_page: int, pages: int, seed: int = 1) -> None:
    """Garbage over pages of a file, counted from 0."""
    with file.open("rb+") as out:
        out.seek(first_page * PAGE)
        out.write(Random(seed).randbytes(pages * PAGE))
