"""A browser, and a simulated lathe for it to show."""

from __future__ import annotations

from support.at_page import board, browser

__all__ = ["board", "browser"]
