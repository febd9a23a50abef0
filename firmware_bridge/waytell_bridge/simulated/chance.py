"""Chance from a seed: each part draws from a stream of its own, so a change in one does not disturb another."""

from __future__ import annotations

from random import Random


def seeded(seed: int, part: str) -> Random:
    # Repeatable on purpose: the same seed must give the same log. Nothing here guards a secret.
    return Random(f"{seed}:{part}")  # noqa: S311
