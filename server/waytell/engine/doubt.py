"""Why a figure cannot be relied on now. Doubt is a value: a set of reasons for each axis, in words a person can act on.

Reasons that pass by themselves (stale, lost, unreadable) are told from those that stay until the axis is referenced
again or the person confirms it (a restart, missed edges, a jump, winding faster than the board can count).
"""

from __future__ import annotations

from collections.abc import Iterable

from waytell.documents.base import Axis
from waytell.documents.state import Doubt, DoubtCode
from waytell.engine.axes import signed_difference
from waytell.engine.datum import LOST_COUNT
from waytell.engine.known import Known
from waytell_bridge.reading import BoardHello, LinkCondition, LinkReport

STALE_S = 0.15
STALE_PERIODS = 3
# A glitch that comes straight back leaves the counts right: absolute counts forgive one bad line.
COMES_BACK_S = 0.5
_STEPS: tuple[DoubtCode, ...] = ("jump", "too_fast")

_WORDS: dict[DoubtCode, tuple[str, str]] = {
    "no_board": ("No board is heard.", "Plug the counter board in and choose its port."),
    "stale": ("The readings have stopped.", "Stop winding. Check the board's power and cable."),
    "link_lost": ("The link to the board is lost.", "Stop winding. Check the cable; it is opened again by itself."),
    "unreadable": ("What the board sends cannot be read.", "Stop winding. Check the port and its speed."),
    "late": ("Readings come late.", "Wind only with the figures standing still for a while, or wait."),
    "board_restarted": (
        "The board restarted, so it may have lost count.",
        "Check the figures against the work and confirm them, or touch off again.",
    ),
    "missed_edges": (
        "Edges of a scale were missed since it was touched off.",
        "Touch off again; if it comes back, wind slower, check the scale's cable and its gap.",
    ),
    "jump": (
        "The position jumped further than a hand can wind.",
        "Check the scale's cable, then touch off again or confirm the figures.",
    ),
    "too_fast": (
        "The slide was wound faster than the board can count.",
        "Touch off again or check the figures and confirm them; wind slower.",
    ),
    "not_referenced": ("Not touched off yet.", "Touch the work with this tool and tell where that is."),
    "no_scale": ("No scale is set up for this axis.", "Enter the scales under Set up."),
    "fewer_scales": (
        "The board reports fewer scales than are set up.",
        "Check under Set up which of the board's scales is on which slide.",
    ),
    "display_differs": (
        "This display shows other figures than it was sent.",
        "Load this page again; use another display until then.",
    ),
    "display_late": (
        "This display draws so slowly that its figures would be old.",
        "Stop winding. Close what else runs on it, look after its network, or use another display.",
    ),
    "ended": ("The recording has ended.", "What stands here is its last reading."),
}


def in_words(code: DoubtCode, link_words: str, *, late: bool = False) -> Doubt:
    """What is shown of a doubt; `late` where readings come, but are old when they do."""
    words, do = _WORDS[code]
    if code == "stale" and late:
        words, do = _WORDS["late"]
    if code in ("link_lost", "unreadable", "no_board", "late") and link_words:
        words = link_words
    return Doubt(code=code, words=words, do=do)


_BY_LINK: dict[LinkCondition, DoubtCode] = {
    LinkCondition.LOST: "link_lost",
    LinkCondition.UNREADABLE: "unreadable",
    LinkCondition.ENDED: "ended",
    LinkCondition.SILENT: "stale",
    LinkCondition.LATE: "late",
}


class Doubts:
    """Collects what speaks against the readings of one board."""

    def __init__(self) -> None:
        self.link: LinkReport | None = None
        self.boot: str | None = None
        self.hello: BoardHello | None = None
        self.missed: dict[int, int] = {}
        self.flags = 0
        self.stale = True
        self.late = False
        """Readings come, but are too old when they do."""
        self.events = 0
        """Number of the newest event of the engine."""
        self.latched: dict[int, dict[DoubtCode, int]] = {}
        """For each scale what it did last, and after which event: a datum set since then is not touched by it."""
        self.untold: dict[tuple[int, DoubtCode], float] = {}
        """Steps not yet in the history, and when they happened: a start of the program must not forget them."""
        self._told: set[tuple[int, DoubtCode]] = set()
        self._met_since_open = False
        self._jumped_from: dict[int, tuple[float, int, int | None]] = {}
        self._stale_after_s = STALE_S

    def heard_link(self, report: LinkReport) -> None:
        if report.condition in (LinkCondition.LOST, LinkCondition.OPENING):
            self._met_since_open = False
        self.link = report

    def heard_hello(self, hello: BoardHello) -> bool:
        """True where the board has another boot id than before: it restarted."""
        restarted = self.boot is not None and hello.boot != self.boot
        if restarted:
            self.missed.clear()
            self.flags = 0
            self.latched.clear()
            self.untold.clear()
            self._told.clear()
        self.boot, self.hello = hello.boot, hello
        self._met_since_open = True
        self._stale_after_s = max(STALE_S, STALE_PERIODS / max(hello.rate_hz, 1))
        return restarted

    def note_age(self, age_s: float, silent_s: float) -> None:
        """So old is the newest reading, and so long ago one came."""
        self.stale = age_s > self._stale_after_s
        self.late = self.stale and silent_s <= self._stale_after_s

    def note_step(self, channel: int, t_s: float, count: int, before: int, *, fast: bool) -> None:
        """A scale changed faster than is possible (`fast`: than the board can count, else than a hand can wind)."""
        codes = self.latched.setdefault(channel, {})
        earlier = codes.get("jump")
        code: DoubtCode = "too_fast" if fast else "jump"
        codes[code] = self.events
        if (channel, code) not in self._told:
            self.untold.setdefault((channel, code), t_s)
        came_from = self._jumped_from.pop(channel, None)
        if came_from is None:
            self._jumped_from[channel] = (t_s, before, earlier)
            return
        since_s, start, earlier = came_from
        size = abs(signed_difference(before, start))
        # Back to where it came from: one damaged figure, not a move.
        if t_s - since_s <= COMES_BACK_S and abs(signed_difference(count, start)) <= max(3, size // 20):
            codes.pop("jump", None)
            self.untold.pop((channel, "jump"), None)
            if earlier is not None:
                codes["jump"] = earlier

    def lasting(self, now_s: float) -> list[tuple[int, DoubtCode, int]]:
        """Steps that did not come straight back and are to be told now: scale, code, after which event."""
        due = [step for step, at_s in self.untold.items() if now_s - at_s > COMES_BACK_S]
        for step in due:
            del self.untold[step]
            self._told.add(step)
        return [(channel, code, self.latched[channel][code]) for channel, code in due if code in self.latched[channel]]

    def recall(self, channel: int, code: DoubtCode, event: int) -> None:
        """A step that the history tells of."""
        self.latched.setdefault(channel, {})[code] = event

    def referenced(self, channels: Iterable[int]) -> None:
        """Where these scales stand was told: coming back from a jump before that is a move like any other."""
        for channel in channels:
            self._jumped_from.pop(channel, None)
            self._told -= {(channel, code) for code in _STEPS}

    def reasons(self, axis: Axis, known: Known) -> tuple[DoubtCode, ...]:
        """All reasons for doubt in the position of the tool along this axis, the most urgent first."""
        if not known.terms[axis]:
            return tuple(self._of_link()) if known.on_centre(axis) else ("no_scale",)
        channels = [term.channel for term in known.terms[axis]]
        datum = known.datums.get(axis)
        if datum is None or known.offset_mm(axis) is None:
            stepped = self._stepped_since(channels, datum.sure_from if datum is not None else 0)
            return (*self._of_link(), *stepped, "not_referenced")
        return (*self._of_link(), *self.lost_since(channels, datum.sure_from, datum.boot, datum.missed))

    def lost_since(
        self, channels: list[int], event: int, boot: str | None, missed: dict[int, int]
    ) -> tuple[DoubtCode, ...]:
        """Why counts of these scales are no longer those that stood at an event, with the board's start and totals."""
        stepped = self._stepped_since(channels, event)
        if boot != self.boot or (boot is not None and not self._met_since_open):
            return (*stepped, "board_restarted")
        if any(self._missed_since(channel, missed) for channel in channels):
            return (*stepped, "missed_edges")
        return stepped

    def _stepped_since(self, channels: list[int], event: int) -> tuple[DoubtCode, ...]:
        return tuple(
            code for code in _STEPS if any(self.latched.get(channel, {}).get(code, -1) >= event for channel in channels)
        )

    def lost_count(self, axis: Axis, known: Known) -> bool:
        """The counts themselves, not only their link, are in doubt: a datum set on them is void."""
        return not LOST_COUNT.isdisjoint(self.reasons(axis, known))

    def _of_link(self) -> list[DoubtCode]:
        if self.link is None:
            return ["no_board"]
        by_link = _BY_LINK.get(self.link.condition)
        if by_link is not None:
            return [by_link]
        return ["stale"] if self.stale else []

    def _missed_since(self, channel: int, at_datum: dict[int, int]) -> bool:
        total = self.missed.get(channel)
        if total is None:
            # The flag comes with every reading, the total within a second.
            return bool(self.flags >> channel & 1) and at_datum.get(channel, 0) == 0
        return total > at_datum.get(channel, 0)
