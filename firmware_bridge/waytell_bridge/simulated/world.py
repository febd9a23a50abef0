"""Lathe, board, wire and person in one virtual time: the pure whole that recording and serving both run.

`advance` moves in steps of `TICK_S`: the person acts, the lathe follows, the board tells, the wire carries. The
report rate never changes what is cut. Faults are asked for by name.

Not simulated: a delay on the wire (recording and serving add their own), more than one person.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

from waytell_bridge.simulated.board import Sensed, VirtualBoard
from waytell_bridge.simulated.chance import seeded
from waytell_bridge.simulated.faults import FAULTS, Wire
from waytell_bridge.simulated.lathe import Lathe
from waytell_bridge.simulated.person import FiguresLost, Person, Workshop
from waytell_bridge.simulated.stock import Stock

if TYPE_CHECKING:
    from collections.abc import Callable

    from waytell_bridge.simulated.person import Look, Press, Script
    from waytell_bridge.simulated.settings import Settings, SlideName

TICK_S = 0.004
REBOOT_S = 0.4


@dataclass(frozen=True)
class Snapshot:
    """The hidden truth at one moment. Places from the lathe's fixed origin: centre line, middle of the sawn face."""

    t_s: float
    tool_x_mm: float
    tool_z_mm: float
    cross_mm: float
    carriage_mm: float
    compound_mm: float
    counts: tuple[int, ...]
    rpm: float
    carriage_clamped: bool
    near: bool
    force_n: float
    outline: tuple[tuple[float, float], ...]
    work_x_zero_mm: float
    """Where the person's X = 0 lies after the last touch-off; 0 before the first."""
    work_z_zero_mm: float


class World:
    def __init__(
        self,
        script: Script,
        settings: Settings,
        seed: int,
        *,
        press: Press,
        look: Look | None = None,
        pace: float = 1.0,
    ) -> None:
        self.settings = settings
        self._seed, self._bars = seed, 0
        self.lathe = Lathe(settings, seeded(seed, "lathe"))
        self.board = VirtualBoard(settings, seeded(seed, "board"), pace)
        self.wire = Wire(seeded(seed, "wire"), settings.board.lost_report_share, settings.board.damaged_line_share)
        self._off_until_s: float | None = None
        self._kept = False
        self._unplugged_until_s = 0.0
        self._noise_until_s: float | None = None
        self._tick = 0
        shop = Workshop(
            lathe=self.lathe, settings=settings, press=press, look=look, fault=self.fault, rechuck=self.rechuck
        )
        self.person = Person(shop, seeded(seed, "person"))
        self._work = script(self.person)
        self.finished = False
        self.board.start(self._sensed())

    @property
    def t_s(self) -> float:
        return self._tick * TICK_S

    @property
    def unplugged(self) -> bool:
        return self.t_s < self._unplugged_until_s

    def rechuck(self) -> None:
        """The next bar, crooked in its own way."""
        self._bars += 1
        self.lathe.chuck(Stock(self.settings.stock, seeded(self._seed, f"bar {self._bars}")))

    def tick(self) -> list[bytes]:
        """One step of `TICK_S`; gives the lines that arrive at the host."""
        self._tick += 1
        self._let_work()
        self.lathe.advance(TICK_S)
        self.person.observe()
        now = self._sensed()
        if self._off_until_s is not None:
            if now.t_s < self._off_until_s:
                return []
            self._off_until_s = None
            self.board.start(now, kept=self._kept)
        if self._noise_until_s is not None and now.t_s >= self._noise_until_s:
            self._noise_until_s = None
            self.board.noise_counts = [scale.noise_counts for scale in self.settings.scales]
        lines = self.wire.carry(self.board.step(now), now.t_s)
        return [] if self.unplugged else lines

    def _let_work(self) -> None:
        if self.finished:
            return
        try:
            next(self._work)
        except StopIteration:
            self.finished = True
        except FiguresLost:
            self.person.words = "Gives up: the figures stay struck through."
            self.finished = True

    def advance(self, dt: float) -> list[bytes]:
        """As many whole steps as fit `dt`, rounded."""
        return [line for _ in range(round(dt / TICK_S)) for line in self.tick()]

    def snapshot(self) -> Snapshot:
        lathe, slides = self.lathe, self.lathe.slides
        zero = self.person.zero_mm
        return Snapshot(
            t_s=self.t_s,
            tool_x_mm=lathe.tool_x_mm,
            tool_z_mm=lathe.tool_z_mm,
            cross_mm=slides["cross"].position_mm,
            carriage_mm=slides["carriage"].position_mm,
            compound_mm=slides["compound"].position_mm,
            counts=self.board.counts,
            rpm=lathe.rpm,
            carriage_clamped=lathe.carriage_clamped,
            near=lathe.contact.near,
            force_n=lathe.contact.force_n,
            outline=tuple(lathe.stock.outline()),
            work_x_zero_mm=zero["X"],
            work_z_zero_mm=zero["Z"],
        )

    def fault(self, name: str, **how: Any) -> None:
        """Let something go wrong now.

        unplug(seconds=3), power_cut(seconds=3), restart(), restart_kept(), missed_edges(scale=0, edges=40),
        creep(slide="carriage", mm=0.05, seconds=3), noise(scale=0, counts=2, seconds=5), frozen(scale=0),
        glitch(scale=0, counts=4000), damaged(share=0.05, seconds=5), silence(seconds=3), flood(seconds=3),
        garbage(seconds=3).

        Raises:
            ValueError: no such fault, or no such scale.
            TypeError: no such argument.
        """
        if name not in FAULTS:
            raise ValueError(f"no fault called {name!r}; there are: {', '.join(FAULTS)}")
        faults: dict[str, Callable[..., None]] = {
            "unplug": self._unplug,
            "power_cut": self._power_cut,
            "restart": lambda: self._restart(kept=False),
            "restart_kept": lambda: self._restart(kept=True),
            "missed_edges": self._miss_edges,
            "creep": self._creep,
            "noise": self._noise,
            "frozen": self._freeze,
            "glitch": self._glitch,
            "damaged": self._damage,
        }
        if not 0 <= how.get("scale", 0) < len(self.settings.scales):
            raise ValueError(f"there is no scale {how['scale']}: they count from 0 to {len(self.settings.scales) - 1}")
        faults.get(name, partial(self._disturb, name))(**how)

    def _disturb(self, name: str, seconds: float = 3.0) -> None:
        self.wire.fault(name, self.t_s + seconds)

    def _damage(self, share: float = 0.05, seconds: float = 5.0) -> None:
        self.wire.fault("damaged", self.t_s + seconds, share)

    def _unplug(self, seconds: float = 3.0) -> None:
        self._unplugged_until_s = self.t_s + seconds

    def _power_cut(self, seconds: float = 3.0) -> None:
        self._unplug(seconds)
        self._restart(kept=False, seconds=seconds)

    def _restart(self, *, kept: bool, seconds: float = REBOOT_S) -> None:
        self._kept, self._off_until_s = kept, self.t_s + seconds

    def _miss_edges(self, scale: int = 0, edges: int = 40) -> None:
        self.board.miss(scale, edges)

    def _creep(self, slide: SlideName = "carriage", mm: float = 0.05, seconds: float = 3.0) -> None:
        self.lathe.creep(slide, mm, max(seconds, TICK_S))

    def _noise(self, scale: int = 0, counts: float = 2.0, seconds: float = 5.0) -> None:
        self.board.noise_counts[scale] = counts
        self._noise_until_s = self.t_s + seconds

    def _freeze(self, scale: int = 0) -> None:
        self.board.freeze(scale)

    def _glitch(self, scale: int = 0, counts: int = 4000) -> None:
        self.board.glitch(scale, counts)

    def _sensed(self) -> Sensed:
        slides = self.lathe.slides
        return Sensed(
            self.t_s,
            tuple(slides[scale.slide].position_mm for scale in self.settings.scales),
            self.lathe.turns,
            int(self.lathe.carriage_clamped),
        )
