"""Days of work put together by lot: passes, habits and lathes of every kind."""

from __future__ import annotations

import numpy as np

from turners.benches import COARSE, FINE, SLOW, SWITCHED
from turners.board import Bench
from turners.habits import BETWEEN, WITHIN
from turners.moves import Midway, R, faces, plans, sets_up, touches_off, turns
from turners.turner import Turner

QUIET = [name for name in WITHIN if "knock" not in name and "count" not in name]
"""Habits after which every figure of the pass is beyond argument."""


class Day:
    def __init__(self, seed: int) -> None:
        self.lot = np.random.default_rng(seed)
        self.turner = Turner(1000 + seed)
        self.planned = self.lot.random() < 0.5
        self.radius, self.face = R, 0.0
        self.crept = {"face": False, "diameter": False}
        self.told: list[str] = []

    def lives(self) -> None:
        sets_up(self.turner)
        touches_off(self.turner)
        self.faces()
        self.chance(0.5)
        self.turns()
        self.chance(0.5)
        self.turns() if self.lot.random() < 0.5 else self.faces()

    def faces(self) -> None:
        many = int(self.lot.integers(1, 3))
        if self.planned:
            plans(self.turner, "facing", self.radius, 0.0, self.face - 0.3 * many)
        for _ in range(many):
            was, self.face = self.face, self.face - round(float(self.lot.uniform(0.1, 0.4)), 2)
            self.one_facing(None if self.crept["face"] else was)
            if self.lot.random() < 0.25 and not self.crept["face"]:
                self.one_facing(None, spring=True)

    def one_facing(self, was: float | None, *, spring: bool = False) -> None:
        midway = self.habit("cross", "carriage")
        creep = 0.0 if spring or midway else self.creeps()
        faces(
            self.turner, self.face, was=was, role="spring" if spring else None, creep=creep,
            back_on_line=bool(self.lot.random() < 0.4), enters=self.radius, midway=midway,
        )  # fmt: skip
        self.crept["face"] = creep != 0

    def turns(self) -> None:
        to = self.face - round(float(self.lot.uniform(7.5, 9)), 1)
        many = int(self.lot.integers(1, 4))
        if self.planned:
            plans(self.turner, "turning", self.face, to, self.radius - 0.4 * many)
        for _ in range(many):
            was, self.radius = self.radius, self.radius - round(float(self.lot.uniform(0.2, 0.5)), 2)
            self.one_turning(None if self.crept["diameter"] else was, to)
            if self.lot.random() < 0.25 and not self.crept["diameter"]:
                self.one_turning(None, to, spring=True)
            self.chance(0.15)

    def one_turning(self, was: float | None, to: float, *, spring: bool = False) -> None:
        midway = self.habit("carriage", "cross")
        creep = 0.0 if spring or midway else self.creeps()
        # The hand does not stop twice on the same hundredth.
        to += float(self.lot.uniform(0, 0.03))
        turns(
            self.turner, self.radius, was=was, to=to, role="spring" if spring else None, creep=creep,
            back=str(self.lot.choice(["clear", "line", "shoulder"])), enters=self.face,
            midway=midway,
        )  # fmt: skip
        self.crept["diameter"] = creep != 0

    def creeps(self) -> float:
        return float(self.lot.choice([0.0, 0.0, 0.005, -0.008, 0.02, -0.03]))

    def habit(self, fed: str, held: str) -> Midway | None:
        if self.lot.random() < 0.6:
            return None
        name = str(self.lot.choice(QUIET))

        def midway(turner: Turner) -> None:
            self.told.append(f"{turner.t_s:.1f} s: {name}")
            WITHIN[name](turner, fed, held, 1.0)

        return midway

    def chance(self, share: float) -> None:
        # A surface that crept is no mark to touch or to rub along.
        if self.lot.random() < share and not any(self.crept.values()):
            name = str(self.lot.choice(list(BETWEEN)))
            self.told.append(f"{self.turner.t_s:.1f} s: {name}")
            BETWEEN[name](self.turner, self.radius, self.face)


def bench_of(seed: int) -> Bench:
    return [SLOW, COARSE, FINE, SWITCHED][seed % 4]
