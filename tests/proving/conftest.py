"""A busy machine is no failure: examples may take as long as they do, and are the same each time."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("proving", deadline=None, derandomize=True, max_examples=100)
settings.load_profile("proving")
