"""Fixtures of the tests that look at a page: a browser, and a simulated lathe for it to show."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from support.browser import chromium
from waytell_bridge.simulated.serving import BoardServer


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as running:
        yield running


@pytest.fixture
def board() -> Iterator[BoardServer]:
    with BoardServer(seed=7) as server:
        yield server
