"""The pages' files, packed for their way over a workshop's wireless network where the browser takes them so."""

from __future__ import annotations

import gzip
from functools import lru_cache
from pathlib import Path

from flask import Response, request, send_from_directory

import waytell_web

TEXT = frozenset({".js", ".css", ".html", ".svg"})


def page_file(name: str) -> Response:
    """A file of the pages. A browser that has it, told by its tag, is told that it is as it was."""
    answer = send_from_directory(waytell_web.static_folder(), name, max_age=0)
    path = waytell_web.static_folder() / name
    if path.suffix not in TEXT or answer.status_code != 200 or request.accept_encodings["gzip"] <= 0:
        return answer
    answer.direct_passthrough = False
    answer.set_data(_packed(path, path.stat().st_mtime_ns))
    answer.headers["Content-Encoding"] = "gzip"
    answer.headers["Vary"] = "Accept-Encoding"
    return answer


@lru_cache(maxsize=256)
def _packed(path: Path, _changed_ns: int) -> bytes:
    """Packed once for each version of the file."""
    return gzip.compress(path.read_bytes(), 6, mtime=0)
