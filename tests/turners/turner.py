"""A person at a hand lathe, in small moves that read as a story, and the passes that really happened."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import numpy as np

from turners.hands import HANDLES, wind
from turners.lathe import Lathe, Slide
from turners.truth import FED_ACROSS, Cut, TruePass, settle


@dataclass(frozen=True)
class Glitch:
    t_s: float
    slide: str
    by_mm: float


class Turner:
    """Winds slides, says acts, and remembers what was really cut. Times from the start of the log."""

    def __init__(self, seed: int, *, compound_deg: float | None = None, tailstock: bool = False) -> None:
        self.rng = np.random.default_rng(seed)
        slides = {"cross": Slide(self._anywhere(16, 22)), "carriage": Slide(self._anywhere(8, 20))}
        if compound_deg is not None:
            slides["compound"] = Slide(0.0)
        if tailstock:
            slides["tailstock"] = Slide(40.0)
        self.lathe = Lathe(slides, compound_deg or 0.0)
        self.t_s = 0.5
        self.acts: list[tuple[float, dict[str, Any]]] = []
        self.passes: list[TruePass] = []
        self.glitches: list[Glitch] = []
        self.restarts_s: list[float] = []
        self.parts: list[TruePass] = []
        """Passes within a pass, where a turner might count them singly."""
        self._cuts: list[Cut] = []

    # What the person says.

    def says(self, act: str, **fields: Any) -> None:
        self.rests(0.3)
        self.acts.append((self.t_s, {"act": act, **fields}))
        self.rests(0.2)

    def takes(self, tool: str, *, x_mm: float = 0.0, z_mm: float = 0.0) -> None:
        """Puts in another tool, whose edge stands so far from the first one's, and says so."""
        self.lathe.tip = {"cross": x_mm, "carriage": z_mm}
        self.says("choose_tool", tool=tool)

    # What the person does.

    def rests(self, seconds: float) -> None:
        self.t_s += seconds

    def winds(self, speed: float = 12.0, **to_mm: float) -> None:
        """Winds slides to these places, one after the other, with the pause that a hand needs to change over."""
        for slide, to in to_mm.items():
            self._wind(slide, to, speed)
            self.rests(self._anywhere(0.15, 0.4))

    def sets(self, **to_mm: float) -> None:
        """Sets a slide by its dial, coming up to the mark slowly, and lets go of it."""
        for slide, to in to_mm.items():
            self._wind(slide, to, min(3.0, 1.0 + abs(to - self.place(slide))))
            self.rests(self._anywhere(0.4, 0.8))

    def backs_off(self, by_mm: float, *, pause_s: float = 0.5, speed: float = 3.0, **fed: float) -> None:
        """Backs the fed slide off by this (given as slide=way, the way it is fed), and comes back to where it was."""
        ((slide, way),) = fed.items()
        stood = self.place(slide)
        self._wind(slide, stood - way * by_mm, speed)
        self.rests(pause_s)
        self._wind(slide, stood - way * 0.02, speed / 2)
        self.rests(self._anywhere(0.1, 0.3))

    def feeds(
        self,
        speed: float = 1.5,
        creep: tuple[str, float] | None = None,
        gives: tuple[str, float] | None = None,
        **to_mm: float,
    ) -> None:
        """Winds a slide through the work; another may creep by so much and stay there, or give way and come back."""
        ((slide, to),) = to_mm.items()
        begin = self.t_s
        self._wind(slide, to, speed)
        if creep:
            self._creeps(creep[0], creep[1], begin + 0.2 * (self.t_s - begin), begin + 0.8 * (self.t_s - begin))
        end = self.t_s
        if gives:
            third = (end - begin) / 3
            self._creeps(gives[0], gives[1], begin + 0.5 * third, begin + third)
            self._creeps(gives[0], -gives[1], begin + 1.6 * third, begin + 2 * third)
        self.rests(self._anywhere(0.1, 0.3))
        for cut in self._cuts:
            cut.feeds.append((begin, end))
            cut.left_s = self.t_s

    def draws_back(self, by_mm: float, *, pause_s: float = 1.0, **held: float) -> None:
        """Draws the held slide away (given as slide=way that is away) and sets it back to the same mark."""
        ((slide, way),) = held.items()
        stood = self.place(slide)
        self._wind(slide, stood + way * by_mm, 3.0)
        self.rests(pause_s)
        self.sets(**{slide: stood})

    def dwells(self, seconds: float) -> None:
        """Stops winding in the middle of a pass, to look."""
        for cut in self._cuts:
            cut.rests_s += seconds
        self.rests(seconds)

    @contextmanager
    def cutting(self, kind: str, enters: float | None, **said: Any) -> Iterator[None]:
        """All that is done inside belongs to one true pass; `said` as in `Cut`."""
        with self._taking(kind, enters, self.passes, **said):
            yield

    @contextmanager
    def counting(self, kind: str, enters: float | None, **said: Any) -> Iterator[None]:
        """A part of a pass that could be counted as one of its own."""
        with self._taking(kind, enters, self.parts, **said):
            yield

    @contextmanager
    def _taking(self, kind: str, enters: float | None, kept: list[TruePass], **said: Any) -> Iterator[None]:
        usual = {"drilling": "tailstock", "taper": "compound", "chamfer": "compound"}
        said.setdefault("fed_by", usual.get(kind, "cross" if kind in FED_ACROSS else "carriage"))
        cut = Cut(kind, enters, **said)
        self._cuts.append(cut)
        yield
        self._cuts.pop()
        kept.append(settle(cut, self.lathe))

    def knocks(self, slide: str, by_mm: float, lasts_s: float = 0.05, later_s: float = 0.0) -> None:
        """An elbow against a handle: the slide gives way and comes back, now or a little later."""
        self.lathe.slides[slide].knocks.append((self.t_s + later_s, by_mm, lasts_s))
        if not later_s:
            self.rests(lasts_s + 0.3)

    def shifts(self, slide: str, by_mm: float) -> None:
        """A slide moves a little at once and stays, as when its clamp is drawn tight."""
        self._creeps(slide, by_mm, self.t_s, self.t_s + 0.08)
        self.rests(0.3)

    def runs_spindle(self, rpm: float = 600.0) -> None:
        self.lathe.spindle.append((self.t_s, rpm))
        self.rests(0.8)

    def stops_spindle(self) -> None:
        self.lathe.spindle.append((self.t_s, 0.0))
        self.rests(1.0)

    def winds_compound_by_dial(self, wound_in_mm: float) -> None:
        """Sets the depth on a compound that lies along Z and has no scale, and says how much."""
        self.rests(1.0)
        self.lathe.tip["carriage"] = self.lathe.tip.get("carriage", 0.0) - wound_in_mm
        self.says("compound_wound", wound_in_mm=wound_in_mm)

    # What befalls the wiring.

    def count_glitches(self, slide: str, by_mm: float, later_s: float = 0.0) -> None:
        self.glitches.append(Glitch(self.t_s + later_s, slide, by_mm))

    def board_restarts(self) -> None:
        self.rests(0.3)
        self.restarts_s.append(self.t_s)
        self.rests(1.0)

    def place(self, slide: str) -> float:
        """Where the tool's edge stands by this slide."""
        return self.lathe.slides[slide].place_mm + self.lathe.tip.get(slide, 0.0)

    def _wind(self, slide: str, to_mm: float, speed: float) -> None:
        moved = self.lathe.slides[slide]
        to_mm -= self.lathe.tip.get(slide, 0.0)
        if abs(to_mm - moved.place_mm) < 1e-6:
            return
        times, places = wind(self.rng, HANDLES[slide], moved.place_mm, to_mm, speed)
        for t, place in zip(times, places, strict=True):
            moved.goes(self.t_s + float(t), float(place))
        self.t_s += float(times[-1])

    def _creeps(self, slide: str, by_mm: float, begin_s: float, end_s: float) -> None:
        moved = self.lathe.slides[slide]
        stood = moved.place_mm
        moved.goes(begin_s, stood)
        moved.goes(end_s, stood + by_mm)

    def _anywhere(self, low: float, high: float) -> float:
        return float(self.rng.uniform(low, high))
