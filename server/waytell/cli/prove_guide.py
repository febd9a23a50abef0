"""Guides through a check of the scales: the next move, what the scales do meanwhile, one line typed for each act."""

from __future__ import annotations

import time
from collections.abc import Callable

from waytell.cli.asking import CannotDo, Refused, Running
from waytell.cli.prove_said import HELP, HELP_WATCHING, Said, Unclear, capture_words, chosen, says_mm, understood
from waytell.cli.prove_screen import Lines, Screen
from waytell.documents.acts import Capture, FinishCheck, GiveUpCheck, LeaveOut, Undo
from waytell.documents.config import Units
from waytell.documents.proving import CheckLive, CheckNow, DatedProof
from waytell.engine.words import MM_PER_INCH
from waytell.proving.guide import needs_captures

LOOK_S = 0.25
SETTLES_S = 1.5
"""A slide that was only just let go is given so long to stand."""
GO_ON = "The check stays under way. Go on with it: waytell prove go-on"


class Guide:
    """One check that is under way, to its end."""

    def __init__(self, running: Running, lines: Lines, screen: Screen) -> None:
        self._running, self._lines, self._screen = running, lines, screen
        self._units = running.state().units
        self._now = self._under_way()
        self._began = self._now.began
        self._by_itself = not needs_captures(self._now.check)
        self._out: set[int] = {one.number for one in self._now.captures if one.left_out}

    def go(self) -> DatedProof:
        """What was found, once the check is finished here or elsewhere.

        Raises:
            CannotDo: it was given up, or nobody is left to go on with it.
        """
        live = self._running.state().check
        if (found := self._finished_by_itself(live)) is not None:
            return found
        self._screen.say(*(HELP if needs_captures(self._now.check) else HELP_WATCHING))
        self._show(live)
        while True:
            live = self._running.state().check
            if live is None and (found := self._elsewhere()) is not None:
                return found
            self._screen.refresh(_block(live, self._now))
            found = self._finished_by_itself(live) or self._heard()
            if found is not None:
                return found

    # -- turns -----------------------------------------------------------------------------------------------------

    def _heard(self) -> DatedProof | None:
        line = self._lines.next(LOOK_S)
        if line is None:
            if self._lines.ended:
                self._nobody_left()
            return None
        try:
            said = understood(line)
            found = _DEEDS[said.do](self, said)
        except (Unclear, Refused) as refused:
            self._screen.say(f"{refused} {getattr(refused, 'do', '')}".rstrip())
            found = None
        if found is None:
            self._turn()
        return found

    def _nobody_left(self) -> None:
        """No line will come any more: what needs none goes on."""
        if not self._by_itself:
            raise CannotDo(f"Nothing more was typed, and the check is not finished. {GO_ON}")
        time.sleep(LOOK_S)

    def _finished_by_itself(self, live: CheckLive | None) -> DatedProof | None:
        """What only watches is finished once it has seen enough; a slide that is wound has to stand for it."""
        if live is None or not (self._by_itself and live.ready and (live.standing or live.kind != "slide")):
            return None
        try:
            return self._done(Said("done"))
        except Refused as refused:
            # Once is enough: from here on the person says when.
            self._by_itself = False
            self._screen.say(f"{refused} {refused.do}")
            return None

    def _turn(self) -> None:
        self._now = self._under_way()
        out = {one.number: one.why_left_out for one in self._now.captures if one.left_out}
        for at, one in enumerate(self._now.captures, start=1):
            if one.number in out.keys() - self._out:
                self._screen.say(f"Capture {at} does not count. {one.why_left_out}")
            elif one.number in self._out - out.keys():
                self._screen.say(f"Capture {at} counts again.")
        self._out = set(out)
        self._show(self._running.state().check)

    def _show(self, live: CheckLive | None) -> None:
        suggested = self._now.suggests_mm
        prompt = "> " if suggested is None or not self._now.wants else f"[{_plain_length(suggested, self._units)}] > "
        # What is live may be older than the last act.
        self._screen.show(_block(live and live.model_copy(update={"next": self._now.next}), self._now), prompt)

    def _under_way(self) -> CheckNow:
        now = self._running.proving().check
        if now is None:
            raise CannotDo("No check is under way. waytell prove --help lists them.")
        return now

    def _elsewhere(self) -> DatedProof | None:
        """The check is over though it was not finished here."""
        now = self._running.proving()
        if now.check is not None:
            # What is live may be a moment older than the act that began it.
            if now.check.began != self._began:
                raise CannotDo("Another check was begun elsewhere: this one was given up.")
            return None
        newest = now.proofs[0] if now.proofs else None
        if newest is None or newest.wall < self._began or newest.proof.check != self._now.check:
            raise CannotDo("The check was given up elsewhere.")
        self._screen.say("It was finished elsewhere.")
        return newest

    # -- deeds -----------------------------------------------------------------------------------------------------

    def _capture(self, said: Said) -> DatedProof | None:
        if not needs_captures(self._now.check) and said.number is None:
            return self._done(said)
        act = Capture(act="capture", says_mm=says_mm(said.number, self._now, self._units))
        until_s = time.monotonic() + SETTLES_S
        while True:
            try:
                self._running.act(act)
                break
            except Refused:
                if time.monotonic() > until_s:
                    raise
                time.sleep(0.1)
        now = self._under_way()
        self._screen.say(f"Captured {capture_words(len(now.captures), now, self._units)}")
        return None

    def _leave_out(self, said: Said) -> None:
        one = chosen(said.number, self._now)
        self._running.act(LeaveOut(act="leave_out", capture=one.number, left_out=said.do == "out"))

    def _undo(self, _: Said) -> None:
        if not self._now.captures:
            raise Unclear("Nothing is captured yet: there is nothing to take back.")
        self._screen.say(*(one.words for one in self._running.act(Undo(act="undo"))))

    def _list(self, _: Said) -> None:
        places = range(1, len(self._now.captures) + 1)
        self._screen.say(*(capture_words(at, self._now, self._units) for at in places))
        if not self._now.captures:
            self._screen.say("Nothing is captured yet.")

    def _help(self, _: Said) -> None:
        self._screen.say(*(HELP if needs_captures(self._now.check) else HELP_WATCHING))

    def _done(self, _: Said) -> DatedProof:
        self._running.act(FinishCheck(act="finish_check"))
        return self._running.proving().proofs[0]

    def _stop(self, _: Said) -> None:
        self._running.act(GiveUpCheck(act="give_up_check"))
        raise CannotDo("Given up: nothing was found. What was captured stays in the journal.")


def _block(live: CheckLive | None, now: CheckNow) -> list[str]:
    if live is None:
        return [f"Next: {now.next.move}"]
    stands = (
        ["The slide stands." if live.standing else "It moves, or has only just stopped."]
        if needs_captures(now.check)
        else []
    )
    move, why = live.next.move, live.next.why
    return [f"Next: {move}", *([f"      {why}"] if why else []), *(f"  {line}" for line in (*live.lines, *stands))]


def _plain_length(mm: float, units: Units) -> str:
    """As one would type it.

    >>> _plain_length(25.0, Units())
    '25 mm'
    """
    value = mm / MM_PER_INCH if units.length == "inch" else mm
    return f"{value:.5f}".rstrip("0").rstrip(".") + f" {units.length}"


# Private to this module, which is where the words lead.
# ruff: noqa: SLF001
_DEEDS: dict[str, Callable[[Guide, Said], DatedProof | None]] = {
    "capture": Guide._capture, "out": Guide._leave_out, "in": Guide._leave_out, "undo": Guide._undo,
    "list": Guide._list, "help": Guide._help, "done": Guide._done, "stop": Guide._stop,
}  # fmt: skip
