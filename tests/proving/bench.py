"""A lathe whose scales are wrong in a known way, and whose checks are kept as in a session.

`error[slide]` gives what a scale adds to the true travel at a true place, in mm; `play_mm[slide]` is what is lost on
turning round: the reading head hangs back by half of it to either side.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from engine.lathe import Lathe, configured
from waytell.documents.acts import ACT
from waytell.documents.config import Config
from waytell.documents.proving import CheckNow, Proof, ProvingNow
from waytell.engine.happening import ActRefused, Happening
from waytell.engine.proved import Found
from waytell.proving_keeper import ProvingKeeper

Error = Callable[[float], float]
__all__ = ["ActRefused", "Bench", "configured"]


def true(_: float) -> float:
    return 0.0


class Bench(Lathe):
    def __init__(self, config: Config | None = None, *, count_um: dict[str, float] | None = None, **more: Any) -> None:
        self.error: dict[str, Error] = {"cross": true, "carriage": true}
        self.count_um = count_um or {}
        """What one count truly is, where that is not as the scales are set up."""
        self.play_mm: dict[str, float] = {}
        self._came: dict[str, tuple[float, int]] = {}
        """Where a slide was last, and which way it went."""
        self.noise: Callable[[], int] = int
        self.keeper: ProvingKeeper | None = None
        self._config = config or configured()
        super().__init__(config, **more)
        self.keeper = ProvingKeeper(self.engine)

    def act(self, name: str, **fields: Any) -> Happening:
        act = ACT.validate_python({"act": name} | fields)
        if self.keeper is not None:
            act = self.keeper.filled_in(act)
        happened = self.engine.act(act, self.t_s)
        self.events += happened
        if self.keeper is not None:
            self.keeper.follow()
        return happened[-1]

    def feed(self, *events: Any) -> None:
        super().feed(*events)
        if self.keeper is not None:
            for event in events:
                self.keeper.take(event)
            self.keeper.follow()

    def counted(self) -> tuple[int, ...]:
        places = {"cross": self.x_mm, "carriage": self.z_mm, "compound": self.compound_mm}
        counts = [0] * (1 + max(one.channel for one in self._config.scales))
        for scale in self._config.scales:
            shown_mm = places[scale.slide] + self.error.get(scale.slide, true)(places[scale.slide])
            shown_mm -= self._way(scale.slide, places[scale.slide]) * self.play_mm.get(scale.slide, 0.0) / 2
            step_um = self.count_um.get(scale.slide, scale.resolution_um)
            counts[scale.channel] = round(shown_mm * 1e3 / step_um) * scale.direction + self.noise()
        return tuple(counts)

    def _way(self, slide: str, at_mm: float) -> int:
        last_mm, way = self._came.get(slide, (at_mm, 1))
        if abs(at_mm - last_mm) > 1e-6:
            way = 1 if at_mm > last_mm else -1
        self._came[slide] = (at_mm, way)
        return way

    # -- checks

    def begin(self, kind: str, **fields: Any) -> None:
        self.act("begin_check", check={"kind": kind} | fields)

    def capture(self, says_mm: float | None = None, *, x: float | None = None, z: float | None = None) -> None:
        if x is not None or z is not None:
            self.to(x=x, z=z, speed=20.0)
        self.rest(0.5)
        self.act("capture", says_mm=says_mm)

    def finish(self) -> Proof:
        self.act("finish_check")
        return self.found.proof

    @property
    def found(self) -> Found:
        return self.engine.known.proved.found[-1]

    def now(self) -> ProvingNow:
        assert self.keeper is not None
        return self.keeper.now()

    def check(self) -> CheckNow:
        check = self.now().check
        assert check is not None
        return check
