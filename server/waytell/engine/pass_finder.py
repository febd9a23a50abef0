"""Passes out of strokes: what belongs together, and when it is over.

A pass is open from its first stroke at the work until the tool is clear along the feed, cuts elsewhere, or a minute
has gone by. Until then the way back on the same line, rests, rubbing, and backing off (along the feed or across) and
going on from where it stopped belong to it. A stroke that begins where the pass began is a pass of its own.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from waytell.documents.base import Axis
from waytell.engine.passes import Cut, Work, along_compound, extended, measure, taken_off
from waytell.engine.section import Section
from waytell.engine.strokes import Stroke, StrokeFinder

JOIN_MM = 0.05
"""Set back to the same dial reading by hand, a slide stands within this."""
BACKED_OFF_MM = 0.3
OF_ITS_OWN_SHARE = 0.85
CLEAR_MM = 0.1
OPEN_S = 60.0
AT_END_MM = 0.05
COMPOUND_MOVED_MM = 0.02
SLIDE_MOVED_MM = 0.1
SETTLED = 4  # equal readings after which the middle of three is that as well


class Open(NamedTuple):
    """A pass that may go on, and the work as it was before it."""

    cut: Cut
    before: Work
    held_mm: float
    """Where the held slide stood when it stopped."""
    ended_s: float


class PassFinder:
    """Takes every reading as (t, x, z), and where the compound slide stands if it is fed at an angle."""

    def __init__(self, count_mm: dict[Axis, float], angle_deg: float | None, work: Callable[[], Work],
                 in_work: Callable[[], bool], signs: dict[Axis, int]) -> None:  # fmt: skip
        self._work = work
        self._angle_deg = angle_deg
        self._slides = {
            (axis, sign): StrokeFinder(axis, sign, count_mm[axis], in_work)
            for axis in ("X", "Z") for sign in (signs[axis], -signs[axis])
        }  # fmt: skip
        self._x = [finder for (axis, _), finder in self._slides.items() if axis == "X"]
        self._z = [finder for (axis, _), finder in self._slides.items() if axis == "Z"]
        self._compound = (
            [StrokeFinder("compound", sign, max(count_mm.values()), in_work) for sign in (-1, 1)]
            if angle_deg is not None else []
        )  # fmt: skip
        self._signs = signs
        self._last: list[tuple[float, float, float, float]] = []
        self._stood: tuple[float, float, float] | None = None
        self._compound_moves = False
        self._at = (0.0, 0.0, 0.0)
        self._stood_for = 0
        self._idle = False
        self._waits_s: float | None = None
        """Time of a reading at rest that was not gone through yet."""
        self.open: Open | None = None
        self._told: Open | None = None
        """The last pass told: the way back from it is still to come."""
        self._was_clear = True
        """The tool has been clear since: what comes now begins anew."""
        self.live: Section | None = None
        """The work with what is open taken off; None where nothing is open."""

    def step(self, t_s: float, x_mm: float, z_mm: float, compound_mm: float) -> list[Cut]:
        """Take a reading; the passes that are over with it.

        Where nothing is under way and nothing moved, a reading waits for the next move: only the newest counts.
        """
        place = (x_mm, z_mm, compound_mm)
        if place == self._at and self._idle:
            self._stood_for += 1
            if self._stood_for > SETTLED:
                self._waits_s = t_s
                return []
        else:
            self._stood_for = 0
        done: list[Cut] = []
        if self._waits_s is not None:
            waited_s, self._waits_s = self._waits_s, None
            done = self._step(waited_s, *self._at)
        self._at = place
        done += self._step(t_s, *place)
        self._idle = self._was_clear and not self.under_way and not self._compound_moves
        return done

    def _step(self, t_s: float, x_mm: float, z_mm: float, compound_mm: float) -> list[Cut]:
        last = self._last
        last.append((t_s, x_mm, z_mm, compound_mm))
        if len(last) < 3:
            return []
        # The middle of three, so that one glitch of a scale is no move.
        (_, xa, za, ca), (t, xb, zb, cb), (_, xc, zc, cc) = last
        del last[0]
        x = xb if xa <= xb <= xc or xc <= xb <= xa else sorted((xa, xb, xc))[1]
        z = zb if za <= zb <= zc or zc <= zb <= za else sorted((za, zb, zc))[1]
        done: list[Cut] = []
        if self._compound:
            done += self._follow_compound(x, z, sorted((ca, cb, cc))[1])
        if self._compound_moves:
            strokes = self._step_compound(t, x, z)
        else:
            strokes = [found for finder in self._x if (found := finder.step(t, x, z)) is not None]
            strokes += [found for finder in self._z if (found := finder.step(t, z, x)) is not None]
        for stroke in strokes:
            done += self._stroked(stroke, t)
        if (self.open is not None or not self._was_clear) and self._clear(t, x, z):
            done += self.close()
            self._was_clear = True
        return done

    def take_up(self, told: Cut) -> None:
        """The last pass as the history has it: the way back from it may still be to come."""
        self._told = Open(told, self._work(), told.points[-1].held_mm, 0.0)
        self._was_clear = self._idle = False

    def finish(self) -> list[Cut]:
        """End what is under way where it is."""
        done: list[Cut] = []
        for finder in (*self._slides.values(), *self._compound):
            done += self._end(finder)
        self._last.clear()
        done += self.close()
        self._told, self._was_clear = None, True
        return done

    def close(self) -> list[Cut]:
        """The open pass is over."""
        if self.open is None:
            return []
        over, self.open, self.live = self.open, None, None
        if abs(over.cut.end_mm - over.cut.start_mm) < over.cut.least_mm:
            return []
        self._told, self._was_clear = over, False
        return [over.cut]

    # -- what is under way -----------------------------------------------------------------------------------------

    def finder(self, axis: Axis) -> StrokeFinder:
        """Follows the feed along an axis, the way it is fed."""
        return self._slides[axis, self._signs[axis]]

    @property
    def under_way(self) -> bool:
        """Something is fed, or a pass may still go on."""
        return self.open is not None or any(finder.points is not None for finder in self._slides.values())

    # -- inside ----------------------------------------------------------------------------------------------------

    def _end(self, finder: StrokeFinder) -> list[Cut]:
        """The stroke under way is over; the passes that are over with it."""
        stroke = finder.finish()
        return self._stroked(stroke, stroke.points[-1].t_s) if stroke is not None else []

    def _stroked(self, stroke: Stroke, now_s: float) -> list[Cut]:
        line = self.open or self._told
        if line is not None and line.cut.axis == stroke.axis:
            if stroke.sign != line.cut.sign:
                if self._goes_back(stroke, line):
                    return []
            elif not (self.open is None and self._was_clear) and self._goes_on(stroke, line):
                if self._taken_in(stroke, line, now_s):
                    return []
                # Rubbing up to there is none of it, nor makes it a spring pass.
                stroke = _beyond(stroke, line.cut)
        work = self._work()
        if self.live is not None:
            work = work._replace(section=self.live)
        if self.open is not None:
            open_cut = self.open.cut
            work = work._replace(
                last=work.last | {open_cut.kind: (open_cut.held_mm, open_cut.end_mm - open_cut.start_mm)},
                passes_in_set_up=work.passes_in_set_up + 1,
                passes_in_operation=work.passes_in_operation + (open_cut.operation is not None),
            )
        cut = measure(stroke, work)
        if cut is None:
            return []
        done = self.close()
        if cut.role == "air":
            return [*done, cut]
        self._open(cut, work, stroke, now_s)
        return [*done, *(self.close() if self._complete(cut) else [])]

    def _open(self, cut: Cut, before: Work, stroke: Stroke, now_s: float) -> None:
        self.open = Open(cut, before, stroke.points[-1].held_mm, now_s)
        if before.section is not None and cut.path:
            self.live = taken_off(before.section, cut, before.tool)

    def _taken_in(self, stroke: Stroke, line: Open, now_s: float) -> bool:
        """The stroke belongs to the pass; True where that is all there is to it."""
        beyond = (stroke.points[-1].fed_mm - line.cut.end_mm) * stroke.sign
        if self.open is None:
            # It was told already: only what cuts on from there would be news.
            return beyond < BACKED_OFF_MM
        if beyond > 0:
            self._open(extended(line.cut, stroke, line.before), line.before, stroke, now_s)
        return True

    def _goes_back(self, stroke: Stroke, line: Open) -> bool:
        """The way back on the same line."""
        begins = (line.cut.end_mm - stroke.points[0].fed_mm) * line.cut.sign
        held = stroke.points[len(stroke.points) // 2].held_mm
        return -1.0 < begins < abs(line.cut.end_mm - line.cut.start_mm) and abs(held - line.held_mm) <= JOIN_MM

    def _goes_on(self, stroke: Stroke, line: Open) -> bool:
        """It begins within the pass, on its line, not where the pass began."""
        cut = line.cut
        length = abs(cut.end_mm - cut.start_mm)
        again = (cut.end_mm - stroke.points[0].fed_mm) * cut.sign
        if cut.kind == "drilling":
            return True
        inside = -BACKED_OFF_MM <= again < OF_ITS_OWN_SHARE * length
        held = stroke.points[len(stroke.points) // 2].held_mm
        return inside and min(abs(held - line.held_mm), abs(held - cut.held_mm)) <= JOIN_MM

    def _complete(self, cut: Cut) -> bool:
        """Fed to the end of its operation."""
        if cut.operation is None or cut.axis == "compound" or cut.kind == "drilling":
            return False
        return (cut.end_mm - cut.operation.end_mm) * cut.sign >= -AT_END_MM

    def _clear(self, t_s: float, x_mm: float, z_mm: float) -> bool:
        """The tool is where no pass could be taken up again."""
        line = self.open or self._told
        if line is None:
            return True
        cut = line.cut
        if self.open is not None and t_s - line.ended_s > OPEN_S:
            return True
        if cut.kind == "drilling":
            return False
        if cut.axis == "compound":
            fed = along_compound(x_mm, z_mm, line.before.angle_deg)[0]
        else:
            fed = x_mm if cut.axis == "X" else z_mm
        if (fed - cut.start_mm) * cut.sign < -CLEAR_MM:
            return True
        if self._still_fed(cut):
            return False
        past = (fed - cut.end_mm) * cut.sign > CLEAR_MM
        section = self.live or line.before.section
        return past and section is not None and not section.touches(x_mm, z_mm, line.before.band_mm, both=True)

    def _still_fed(self, cut: Cut) -> bool:
        """A stroke the same way is under way: it may turn out to be more of the same pass."""
        if cut.axis == "compound":
            return any(finder.points is not None for finder in self._compound if finder.sign == cut.sign)
        return self._slides[cut.axis, cut.sign].points is not None

    # -- the compound slide ----------------------------------------------------------------------------------------

    def _follow_compound(self, x_mm: float, z_mm: float, compound_mm: float) -> list[Cut]:
        """Which slides are being wound: the compound slide at its angle, or the two others."""
        assert self._angle_deg is not None
        along, across = along_compound(x_mm, z_mm, self._angle_deg)
        # What is left without the compound's own travel.
        along -= compound_mm
        if self._stood is None:
            self._stood = (along, across, compound_mm)
        if abs(along - self._stood[0]) > SLIDE_MOVED_MM or abs(across - self._stood[1]) > SLIDE_MOVED_MM:
            self._stood = (along, across, compound_mm)
            return self._change(compound=False)
        if abs(compound_mm - self._stood[2]) > COMPOUND_MOVED_MM:
            self._stood = (self._stood[0], self._stood[1], compound_mm)
            return self._change(compound=True)
        return []

    def _change(self, *, compound: bool) -> list[Cut]:
        if self._compound_moves == compound:
            return []
        self._compound_moves = compound
        return [cut for finder in (self._slides.values() if compound else self._compound) for cut in self._end(finder)]

    def _step_compound(self, t_s: float, x_mm: float, z_mm: float) -> list[Stroke]:
        assert self._angle_deg is not None
        along, across = along_compound(x_mm, z_mm, self._angle_deg)
        return [found for finder in self._compound if (found := finder.step(t_s, along, across)) is not None]


def _beyond(stroke: Stroke, cut: Cut) -> Stroke:
    """What of a stroke lies past the end of a pass, from the point before it on: no rib is left between the two."""
    first = sum((p.fed_mm - cut.end_mm) * cut.sign <= 0 for p in stroke.points)
    return stroke._replace(points=stroke.points[max(0, first - 1) :])
