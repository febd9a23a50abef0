"""What a few seconds at a board show, and what of it needs attention. No figure here is one to turn by."""

from __future__ import annotations

import time
from contextlib import closing
from dataclasses import dataclass, field
from typing import Any

from waytell.cli.listening import Ear
from waytell_bridge.reading import BoardEvent, BoardHello, MissedEdges, Reading, SpindlePulse, SwitchInputs
from waytell_bridge.sources import SourceError

KINDS = {"q": "quadrature", "c": "caliper-type"}
# A spoilt line is noticed and the next one carries the same counts: one in a thousand spoils nothing.
TOLERABLE_SHARE = 0.001
SLOW_SHARE = 0.95


@dataclass(frozen=True)
class Attention:
    words: str
    do: str


@dataclass
class Scale:
    first: int
    last: int = 0
    lowest: int = 0
    highest: int = 0
    missed: int = 0
    missed_at_first: int | None = None
    flagged: bool = False

    def __post_init__(self) -> None:
        self.last = self.lowest = self.highest = self.first

    def take(self, count: int, *, flagged: bool) -> None:
        self.last, self.flagged = count, flagged
        self.lowest, self.highest = min(self.lowest, count), max(self.highest, count)

    def take_missed(self, total: int) -> None:
        self.missed_at_first = total if self.missed_at_first is None else self.missed_at_first
        self.missed = total

    @property
    def missed_meanwhile(self) -> int:
        return self.missed - (self.missed_at_first or 0)

    @property
    def moved(self) -> bool:
        return self.lowest != self.highest


@dataclass
class BoardCheck:
    """Takes what the board tells, then judges it."""

    address: str
    baud: int
    hello: BoardHello | None = None
    restarts: int = 0
    scales: dict[int, Scale] = field(default_factory=dict)
    spindle_period_s: float | None = None
    switches: int | None = None
    reports: int = 0
    lost_reports: int = 0
    damaged_lines: int = 0
    link_words: str = ""
    broken: str | None = None
    """Why the port could not be opened or was lost."""
    first_s: float | None = None
    last_s: float = 0.0

    def take(self, event: BoardEvent, now_s: float) -> None:
        if isinstance(event, Reading):
            self._take_reading(event, now_s)
        elif isinstance(event, BoardHello):
            self.hello = event
            self.restarts += event.restarted
        elif isinstance(event, MissedEdges) and event.scale in self.scales:
            self.scales[event.scale].take_missed(event.total)
        elif isinstance(event, SpindlePulse):
            self.spindle_period_s = event.period_s
        elif isinstance(event, SwitchInputs):
            self.switches = event.bits

    def _take_reading(self, reading: Reading, now_s: float) -> None:
        # By this computer's clock: by its own a board always keeps its rate.
        if self.first_s is None:
            self.first_s = now_s
        self.last_s = now_s
        for channel, count in enumerate(reading.counts):
            scale = self.scales.setdefault(channel, Scale(count))
            scale.take(count, flagged=bool(reading.flags >> channel & 1))

    @property
    def measured_hz(self) -> float:
        """Reports a second that arrived."""
        span_s = self.last_s - (self.first_s or 0.0)
        return (self.reports - 1) / span_s if self.reports > 1 and span_s > 0 else 0.0

    @property
    def rpm(self) -> float:
        if not self.spindle_period_s or self.hello is None or not self.hello.pulses_per_rev:
            return 0.0
        return 60.0 / (self.spindle_period_s * self.hello.pulses_per_rev)

    def attention(self) -> list[Attention]:
        """All that needs somebody, the most urgent first."""
        if self.broken is not None:
            return [Attention(self.broken, "See to that, then check again.")]
        if not self.reports:
            return [self._nothing_to_read()]
        missed = [found for channel, scale in self.scales.items() for found in _missed(channel, scale)]
        return [*self._of_board(), *missed, *self._of_link()]

    def _nothing_to_read(self) -> Attention:
        if self.hello is not None:
            return Attention("The board says hello but reports no position.", "Restart it; if it stays so, flash it.")
        return Attention(
            self.link_words,
            f"Try another speed than {self.baud} baud (--baud), and waytell ports for the other ports. A board that "
            "was never flashed says nothing: waytell board flash.",
        )

    def _of_board(self) -> list[Attention]:
        found = []
        if self.hello is None:
            found.append(Attention("The board reports, but never said hello.", "Listen longer (--seconds 10)."))
        if self.restarts:
            found.append(
                Attention(
                    f"The board restarted {_times(self.restarts)} while it was listened to.",
                    "Look for a loose supply or cable and for motor noise on it, then touch off again.",
                )
            )
        return found

    def _of_link(self) -> list[Attention]:
        found = []
        if not self.link_is_good:
            found.append(
                Attention(
                    f"The link is poor: {self.lost_reports} reports lost and {self.damaged_lines} lines damaged of "
                    f"{self.reports + self.lost_reports}.",
                    "Keep the cable short, shielded and away from the motor's; give the board a USB port of its own.",
                )
            )
        elif self.hello is not None and self.measured_hz < SLOW_SHARE * self.hello.rate_hz:
            found.append(
                Attention(
                    f"The board keeps {self.hello.rate_hz} reports a second, but {self.measured_hz:.0f} arrive.",
                    "Close what keeps this computer busy, or give the board another USB port.",
                )
            )
        return found

    @property
    def link_is_good(self) -> bool:
        """One lost or spoilt line may come from opening the port in the middle of it."""
        bad = self.lost_reports + self.damaged_lines
        return bad <= max(1.0, TOLERABLE_SHARE * (self.reports + bad))

    def document(self) -> dict[str, Any]:
        attention = self.attention()
        return {
            "good": not attention,
            "address": self.address,
            "baud": self.baud,
            "board": self._board_document(),
            "rate_hz": round(self.measured_hz, 1),
            "reports": self.reports,
            "lost_reports": self.lost_reports,
            "damaged_lines": self.damaged_lines,
            "restarts": self.restarts,
            "scales": [
                {"channel": channel, "count": scale.last, "moved": scale.moved, "lowest": scale.lowest}
                | {"highest": scale.highest, "missed_edges": scale.missed}
                | {"missed_meanwhile": scale.missed_meanwhile, "flagged": scale.flagged}
                for channel, scale in sorted(self.scales.items())
            ],
            "rpm": round(self.rpm, 1),
            "switches": self.switches,
            "attention": [{"words": one.words, "do": one.do} for one in attention],
        }

    def _board_document(self) -> dict[str, Any] | None:
        if self.hello is None:
            return None
        # When it came, and whether it was a new start, is no property of the board.
        return {name: value for name, value in self.hello._asdict().items() if name not in ("t_s", "restarted")}


def _missed(channel: int, scale: Scale) -> list[Attention]:
    if not scale.missed and not scale.flagged:
        return []
    meanwhile = f", {scale.missed_meanwhile} of them just now" if scale.missed_meanwhile else ""
    how_many = f"{_times(scale.missed)}{meanwhile}" if scale.missed else "at least once"
    return [
        Attention(
            f"Scale {channel} missed edges {how_many} since the board started: datums from before that are wrong.",
            "Check its plug, cable and shield and the gap of its reading head, and wind slower; then touch off again.",
        )
    ]


def _times(number: int) -> str:
    return "once" if number == 1 else f"{number} times"


def check_board(address: str, baud: int, seconds: float) -> BoardCheck:
    """Listen so long and say what was found."""
    check, ear = BoardCheck(address, baud), Ear(address, baud)
    try:
        with closing(ear.events(seconds)) as events:
            for event in events:
                check.take(event, time.monotonic())
    except SourceError as error:
        check.broken = str(error)
    report = ear.listener.health.report(check.last_s, 0.0)
    check.reports, check.lost_reports, check.damaged_lines = report.reports, report.lost_reports, report.damaged_lines
    check.link_words = report.words
    return check


def in_words(check: BoardCheck) -> list[str]:
    """What a person wants to read of it, a line each."""
    attention = check.attention()
    found = [*_board_words(check), *_scale_words(check), *_input_words(check)] if check.reports else []
    for one in attention:
        found += [f"! {one.words}", f"  {one.do}"]
    return found if attention else [*found, "All is well."]


def _board_words(check: BoardCheck) -> list[str]:
    found = []
    if (hello := check.hello) is not None:
        firmware = f", firmware {hello.firmware}" if hello.firmware else ""
        kept = "kept over its last restart" if hello.kept else "from zero since its last start"
        found.append(f"Board {hello.model}{firmware}: {hello.scales} scales, start {hello.boot}, counts {kept}.")
        found.append(f"Rate: keeps {hello.rate_hz} reports a second; {check.measured_hz:.1f} arrived.")
        if hello.max_edges_s:
            found.append(f"Counts up to {hello.max_edges_s} edges a second on each scale.")
    quality = "good" if check.link_is_good else "poor"
    found.append(
        f"Link {quality}: {check.reports} reports, {check.lost_reports} lost, {check.damaged_lines} damaged lines."
    )
    return found


def _scale_words(check: BoardCheck) -> list[str]:
    kinds = check.hello.kinds if check.hello is not None else ""
    found = []
    for channel, scale in sorted(check.scales.items()):
        kind = KINDS.get(kinds[channel : channel + 1], "kind not told")
        did = f"moved between {scale.lowest} and {scale.highest}" if scale.moved else "stood still"
        missed = f"{scale.missed} missed edges" if scale.missed or scale.flagged else "no edge missed"
        found.append(f"Scale {channel} ({kind}): count {scale.last}, {did}, {missed}.")
    if check.scales and not any(scale.moved for scale in check.scales.values()):
        found.append("No count changed. Check again while you wind each slide by hand, the spindle off.")
    return found


def _input_words(check: BoardCheck) -> list[str]:
    hello = check.hello
    if hello is None:
        return []
    found = []
    if hello.pulses_per_rev:
        turns = f"turns at {check.rpm:.0f} a minute" if check.rpm else "stands, or gives no pulse"
        found.append(f"Spindle input ({hello.pulses_per_rev} a revolution): {turns}.")
    else:
        found.append("Spindle input: none.")
    if hello.switches and check.switches is not None:
        closed = [str(number) for number in range(hello.switches) if check.switches >> number & 1]
        found.append(f"Switches: {hello.switches}, closed: {', '.join(closed) or 'none'}.")
    return found
