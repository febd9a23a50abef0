"""The display's files: served as they are, no build step. It draws the state and computes no figure of its own."""

from importlib.resources import files
from pathlib import Path


def static_folder() -> Path:
    """Folder of the page, its modules, styles and vendored libraries."""
    return Path(str(files(__name__) / "static"))
