"""Writes a small file whole or not at all: a power cut leaves the old one or the new one."""

from __future__ import annotations

import os
from pathlib import Path


def write_whole(file: Path, content: bytes, mode: int) -> None:
    """`mode` is who may read it.

    Raises:
        OSError: the old file stands as it was.
    """
    file.parent.mkdir(parents=True, exist_ok=True)
    new = file.with_suffix(".new")
    with open(os.open(new, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, mode), "wb") as out:  # noqa: PTH123
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    new.replace(file)
