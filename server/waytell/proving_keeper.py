"""Keeps a check of the scales going: watches the readings, tells the next thing to do, and what was found.

What it sees of the readings lasts only while the program runs; what was captured stands in the journal.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from waytell.documents import acts
from waytell.documents.base import Axis
from waytell.documents.proving import (
    AxisBudget,
    Captured,
    CheckLive,
    CheckNow,
    DatedProof,
    Proof,
    ProvingNow,
    ScaleNow,
    Share,
    Shift,
    Stood,
)
from waytell.engine.axes import AXES
from waytell.engine.engine import Engine
from waytell.engine.happening import ActRefused
from waytell.engine.known import Known
from waytell.engine.proved import CheckUnderWay
from waytell.engine.uncertainty import decimals
from waytell.engine.words import coordinate, fine_length
from waytell_bridge.reading import BoardEvent, LinkReport, Reading

if TYPE_CHECKING:
    from waytell.proving.guide import Told
    from waytell.proving.watch import Watch

NOTICED_MM = 0.0005
"""A smaller shift of a figure is not told."""
NOT_LIVE = frozenset({"stale", "link_lost", "unreadable", "no_board"})


class ProvingKeeper:
    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._watch: Watch | None = None
        self._number = 0
        """Of the event that began the check that is watched."""
        self._link: LinkReport | None = None

    # -- in --------------------------------------------------------------------------------------------------------

    def follow(self) -> None:
        """After everything that happened: a check has begun or is over."""
        under_way = self._under_way
        if under_way is None:
            self._watch, self._number = None, 0
        elif under_way.number != self._number:
            from waytell.proving.watch import Watch  # noqa: PLC0415 - wanted only while a check is under way

            self._number = under_way.number
            self._watch = Watch(self._engine.t_s, self._engine.doubts.missed, self._link)

    def take(self, event: BoardEvent) -> None:
        if isinstance(event, Reading):
            if self._watch is not None:
                self._watch.take(event)
        elif isinstance(event, LinkReport):
            self._link = event
            if self._watch is not None:
                self._watch.hear(event)

    def filled_in(self, act: acts.Act) -> acts.Act:
        """A capture with where the scales stand, a finished check with what it found.

        Raises:
            ActRefused: the slide moves, or there is not enough to find anything from.
        """
        if isinstance(act, acts.Capture) and act.stood is None:
            return act.model_copy(update={"stood": self._stood(act)})
        if isinstance(act, acts.FinishCheck) and act.proof is None:
            return act.model_copy(update={"proof": self._finished()})
        return act

    def _stood(self, act: acts.Capture) -> Stood:
        watch, under_way = self._both()
        engine = self._engine
        if NOT_LIVE & {*engine.reasons("X"), *engine.reasons("Z")}:
            raise ActRefused("The readings are not live.", "Mend the link to the board first, then capture.")
        if not watch.stands(self._channels(under_way)):
            raise ActRefused("The slide moves, or has only just stopped.", "Let it stand for a moment, then capture.")
        if self._told(under_way).wants and act.says_mm is None:
            raise ActRefused("It is not said what the reference reads here.", "Enter it, then capture.")
        stood = watch.stood(engine.doubts.boot, dict(engine.doubts.missed))
        x, z = (engine.place.at(stood.counts, axis) if not engine.reasons(axis) else None for axis in AXES)
        return stood.model_copy(update={"x_mm": x, "z_mm": z})

    def _finished(self) -> Proof:
        from waytell.proving.not_enough import NotEnough  # noqa: PLC0415

        _, under_way = self._both()
        told = self._told(under_way)
        if told.missing:
            raise ActRefused(told.missing, told.next.move)
        try:
            return self._found(under_way)
        except NotEnough as error:
            raise ActRefused(str(error), error.do) from error

    def _found(self, under_way: CheckUnderWay) -> Proof:
        from waytell.proving.results import Bench, found  # noqa: PLC0415

        assert self._watch is not None
        engine = self._engine
        bench = Bench(
            engine.known, under_way, self._watch, self._captured(under_way), engine.doubts.hello,
            engine.doubts.boot, dict(engine.doubts.missed), engine.known.units,
        )  # fmt: skip
        return found(bench)

    # -- out -------------------------------------------------------------------------------------------------------

    def live(self) -> CheckLive | None:
        under_way = self._under_way
        if under_way is None or self._watch is None:
            return None
        from waytell.proving.live_lines import lines  # noqa: PLC0415

        told = self._told(under_way)
        return CheckLive(
            kind=under_way.check.kind, slide=getattr(under_way.check, "slide", None), standing=self._stands(under_way),
            lines=lines(self._engine, under_way.check, self._watch), next=told.next,
            captures=len(under_way.points), ready=not told.missing,
        )  # fmt: skip

    def now(self) -> ProvingNow:
        known = self._engine.known
        return ProvingNow(
            check=self._check_now(), proofs=self._proofs(),
            budgets=tuple(self._budget(axis) for axis in AXES if known.terms[axis]),
            scales=tuple(
                ScaleNow(
                    slide=one.slide, channel=one.channel, resolution_um=one.resolution_um, direction=one.direction,
                    scale_factor=one.scale_factor, mapped=one.slide in known.proved.maps,
                    placed=one.channel in known.proved.zeros, marks=len(known.proved.marks.get(one.channel, ())),
                )
                for one in known.config.scales
            ),
        )  # fmt: skip

    def _check_now(self) -> CheckNow | None:
        under_way = self._under_way
        if under_way is None or self._watch is None:
            return None
        told = self._told(under_way)
        missing, proof = told.missing, None
        if not missing:
            from waytell.proving.not_enough import NotEnough  # noqa: PLC0415

            try:
                proof = self._found(under_way)
            except NotEnough as error:
                missing = str(error)
        return CheckNow(
            check=under_way.check, began=under_way.wall, captures=tuple(self._captured(under_way)), next=told.next,
            wants=told.wants, suggests_mm=told.suggests_mm, proof=proof, missing=missing,
        )  # fmt: skip

    def _proofs(self) -> tuple[DatedProof, ...]:
        from waytell.proving.history import compared, key_of  # noqa: PLC0415

        proved, out = self._engine.known.proved, []
        before: dict[tuple[str, str, str], Proof] = {}
        last = {key_of(one.proof.check): place for place, one in enumerate(proved.found)}
        for one in proved.found:
            key = key_of(one.proof.check)
            words = compared(one.proof, before[key], self._engine.known.units) if key in before else ()
            before[key] = one.proof
            used = one.number in proved.used.values()
            newest = proved.found[last[key]] is one
            shifts = self._shifts(one.number) if newest and not used and one.proof.gives.changes_figures else ()
            out.append(
                DatedProof(
                    number=one.number, wall=one.wall, proof=one.proof, used=used, shifts=shifts, compared=words
                )
            )  # fmt: skip
        return tuple(reversed(out))

    def _shifts(self, number: int) -> tuple[Shift, ...]:
        """What would become of the figures, tried on a copy of what is known."""
        known = self._engine.known
        then = known.with_finding(number)
        return tuple(shift for axis in AXES if (shift := self._shift(axis, known, then)) is not None)

    def _shift(self, axis: Axis, known: Known, then: Known) -> Shift | None:
        counts, units = self._engine.place.counts, known.units
        now_mm = _coordinate(known, axis, counts) if counts else None
        if now_mm is None:
            return None
        then_mm = _coordinate(then, axis, counts)
        if then_mm is None:
            words = f"{axis} has to be touched off again: what was measured with this scale no longer holds."
            return Shift(axis=axis, now_mm=now_mm, then_mm=None, words=words)
        by_mm = then_mm - now_mm
        was, will = coordinate(axis, now_mm, units), coordinate(axis, then_mm, units)
        if abs(by_mm) < NOTICED_MM:
            words = f"{was} stays as it is where the tool stands now."
        else:
            far = fine_length(abs(now_mm - known.datums[axis].value_mm), units)
            words = f"{was} becomes {will} where the tool stands now, {far} from where {axis} was touched off."
        return Shift(axis=axis, now_mm=now_mm, then_mm=then_mm, words=words)

    def _budget(self, axis: Axis) -> AxisBudget:
        from waytell.proving.budget_words import HELPS, NAMES  # noqa: PLC0415

        engine = self._engine
        budget = engine.place.budget(engine.known, axis)
        variance = budget.standard_mm**2 or 1.0
        shares: dict[str, Share] = {}
        for one in sorted(budget.contributions, key=lambda one: -one.standard_mm):
            if one.standard_mm > 0:
                before = shares.get(one.name)
                standard_um = math.hypot(one.standard_mm * 1e3, before.standard_um if before else 0.0)
                shares[one.name] = Share(
                    name=one.name, words=NAMES[one.name], standard_um=standard_um,
                    degrees=None if math.isinf(one.degrees) else one.degrees,
                    percent=100 * (standard_um * 1e-3) ** 2 / variance,
                )  # fmt: skip
        ordered = sorted(shares.values(), key=lambda one: -one.standard_um)
        return AxisBudget(
            axis=axis, standard_um=budget.standard_mm * 1e3, k=budget.k, expanded_um=budget.expanded_mm * 1e3,
            degrees=None if math.isinf(budget.degrees) else budget.degrees,
            decimals_mm=decimals(budget.expanded_mm, engine.place.count_mm[axis]), shares=tuple(ordered),
            helps_most=HELPS[ordered[0].name] if ordered else "",
        )  # fmt: skip

    # -- inside ----------------------------------------------------------------------------------------------------

    @property
    def _under_way(self) -> CheckUnderWay | None:
        return self._engine.known.proved.check

    def _both(self) -> tuple[Watch, CheckUnderWay]:
        if self._watch is None or self._under_way is None:
            raise ActRefused("No check is under way.", "Choose a check under Prove first.")
        return self._watch, self._under_way

    def _told(self, under_way: CheckUnderWay) -> Told:
        from waytell.proving.guide import Seen, told  # noqa: PLC0415

        assert self._watch is not None
        points = [one for one in self._captured(under_way) if not one.left_out]
        return told(
            Seen(under_way.check, points, self._watch.seconds, self._moved_mm(), self._stands(under_way),
                 self._engine.known.units)
        )  # fmt: skip

    def _moved_mm(self) -> float:
        """Longest way of any scale; one that is not set up yet is taken as a usual one."""
        assert self._watch is not None
        steps = {one.channel: one.resolution_um * 1e-3 for one in self._engine.known.config.scales}
        spans = (self._watch.span(channel) for channel in range(self._watch.scales))
        return max((span * steps.get(channel, 0.005) for channel, span in enumerate(spans)), default=0.0)

    def _stands(self, under_way: CheckUnderWay) -> bool:
        return self._watch is not None and self._watch.stands(self._channels(under_way))

    def _channels(self, under_way: CheckUnderWay) -> tuple[int, ...]:
        """The scales that have to stand: that of the slide, or all."""
        from waytell.proving.captures import check_slide  # noqa: PLC0415

        slide = check_slide(under_way.check)
        chosen = tuple(one.channel for one in self._engine.known.config.scales if one.slide == slide)
        return chosen or tuple(range(len(self._engine.place.counts)))

    def _captured(self, under_way: CheckUnderWay) -> list[Captured]:
        from waytell.proving.captures import captured  # noqa: PLC0415

        return captured(self._engine.known, under_way, self._engine.doubts.boot)


def _coordinate(known: Known, axis: Axis, counts: tuple[int, ...]) -> float | None:
    at_mm, offset = known.reference_mm(axis, counts, known.wound_in_mm), known.offset_mm(axis)
    return None if at_mm is None or offset is None else at_mm + offset
