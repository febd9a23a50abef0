"""An invented batch of bronze bushes with motion, outlines and sizes, for the Review page and its pictures.

Samples are whole counts of 5 micrometres with a hand's uneven feed; the creep is where it is said to be.
"""

from __future__ import annotations

import math
import random
from itertools import pairwise
from typing import Any

from review.work import PASS, TURNED, Journal

COUNT_MM = 0.005
BAR_MM = 12.0
SIZES_MM = (8.991, 8.986, 8.994, 8.990, 9.004, 8.988)
CREEP_MM = 0.03


def bushes(parts: int = 6) -> Journal:
    """Each part: a skim and a finish of the face, three turned passes, one size. The last one is not finished."""
    journal, chance = Journal(), random.Random(5)
    for part in range(1, parts + 1):
        _bush(journal, chance, part, done=part < parts)
    return journal


def _bush(journal: Journal, chance: random.Random, part: int, *, done: bool) -> None:
    start_s = 600.0 * (part - 1)
    faced = _outline(0.0, BAR_MM, 0.0)
    _pass(journal, chance, start_s + 60, PASS, faced, faced, role="skim", held_mm=-0.2, creep_mm=0.0, part=part)
    # The carriage gives way from the fourth part on: away from the headstock, so the face becomes convex.
    crept = CREEP_MM if part == 4 else 0.0
    _pass(journal, chance, start_s + 120, PASS, faced, faced, held_mm=-0.4, creep_mm=crept, part=part)
    radii = (12.0, 11.0, 10.0, 9.0)
    for index, (before, after) in enumerate(pairwise(radii)):
        role = "finish" if index == 2 else "roughing"
        doubts = ["missed_edges"] if (part, index) == (3, 1) else []
        outlines = _outline(20.0, before, 20.0), _outline(20.0, after, 20.0)
        _pass(
            journal, chance, start_s + 180 + 60 * index, TURNED, *outlines, role=role, held_mm=after,
            depth_mm=before - after, end_mm=-20.0, doubts=doubts, part=part, cutting_distance_m=31.0, creep_mm=0.0,
        )  # fmt: skip
    if done:
        journal.measured(SIZES_MM[(part - 1) % len(SIZES_MM)], at_s=start_s + 400)
        journal.act("part_done", part="bush", at_s=start_s + 420)


def _outline(turned_mm: float, radius_mm: float, length_mm: float) -> list[list[float]]:
    """A bar of 24 mm, 40 mm out of the chuck, with its front turned down."""
    corners = [[-40.0, 0.0], [-40.0, BAR_MM]]
    if length_mm and radius_mm < BAR_MM:
        corners += [[-turned_mm, BAR_MM], [-turned_mm, radius_mm]]
    return [*corners, [0.0, radius_mm if length_mm else BAR_MM], [0.0, 0.0]]


def _pass(
    journal: Journal, chance: random.Random, at_s: float, base: dict[str, Any], before: Any, after: Any, **changes: Any
) -> None:
    passed = {**base, **changes}
    fed = (passed["start_mm"], passed["end_mm"])
    samples = []
    for n in range(201):
        share = n / 200
        # A hand does not wind evenly.
        place = fed[0] + (fed[1] - fed[0]) * (share - 0.02 * math.sin(4 * math.tau * share) / math.tau)
        held = passed["held_mm"] + passed["creep_mm"] * max(0.0, (share - 0.4) / 0.6)
        held += COUNT_MM * (chance.random() < 0.08)
        place, held = (round(one / COUNT_MM) * COUNT_MM for one in (place, held))
        x_mm, z_mm = (place, held) if passed["feed_axis"] == "X" else (held, place)
        samples.append([round(0.1 * n, 3), round(x_mm, 4), round(z_mm, 4)])
    creep_at = fed[1] if passed["creep_mm"] else None
    journal.passed(base, at_s=at_s, samples=samples, outline_before=before, outline_after=after, creep_at_mm=creep_at,
                   **changes)  # fmt: skip
