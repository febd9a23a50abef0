"""A lathe at which things go wrong, and the Cut screen that is looked at meanwhile."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from faults.at_fault import ready
from support.at_page import board, browser
from support.running import Waytell, waytell
from support.watching import watched
from waytell_bridge.simulated.serving import BoardServer

__all__ = ["board", "browser"]


@pytest.fixture
def lathe(board: BoardServer, tmp_path: Path) -> Iterator[Waytell]:
    with waytell("run", "--source", board.url, "--data", str(tmp_path)) as running:
        ready(running, board)
        yield running


@pytest.fixture
def page(browser: Browser, lathe: Waytell) -> Iterator[Page]:
    with watched(browser, lathe.url) as page:
        yield page
