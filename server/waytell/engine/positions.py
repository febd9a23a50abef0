"""Where the tool is: counts of each reading into X and Z for the tool in use, and what speaks against them.

A coordinate is first + sum of step * (count - since) over the scales of its axis. The parts are laid out once after
anything known has changed, so that a reading costs a few multiplications.
"""

from __future__ import annotations

import math
from collections import deque

from waytell.documents.base import Axis
from waytell.engine.axes import AXES, mm_per_count, signed_difference, wrapped
from waytell.engine.budget import Budget, combined
from waytell.engine.doubt import Doubts
from waytell.engine.error_map import Mapped
from waytell.engine.known import Known
from waytell.engine.uncertainty import contributions
from waytell_bridge.reading import Reading

TRAIL = 128
NOISE_BLOCK = 64
NOISE_SHARE = 0.25
MOST_SHAKEN_MM = 0.1
MOST_SHAKEN_COUNTS = 20
LEAST_BAND_MM = 0.01
BAND_COUNTS = 3
LEAST_STEP_S = 0.002
LEAST_LEAN = 0.01  # a compound slide nearer to an axis than this turns and faces along it
UNTIMED_STEP_S = 0.05  # lines without a time of their own arrive in bunches

NO_MAPS: tuple[tuple[Mapped, ...], tuple[Mapped, ...]] = ((), ())
Plan = tuple[float, tuple[tuple[int, float, int], ...]]


class Positions:
    """`x_mm` and `z_mm` are work coordinates of the tool's corner, or travel from an arbitrary zero without a datum."""

    def __init__(self, known: Known, doubts: Doubts) -> None:
        self.counts: tuple[int, ...] = ()
        self.x_mm = self.z_mm = 0.0
        self.board_s = 0.0
        self.compound_mm = 0.0
        """Travel of the compound slide by its own scale, where it is fed at an angle to both axes."""
        self.oblique_deg: float | None = None
        self._compound: tuple[int, float] | None = None
        self.trail: deque[tuple[float, float, float]] = deque(maxlen=TRAIL)
        """Board time, X and Z of the newest readings."""
        self.noise_mm: dict[Axis, float] = {"X": 0.0, "Z": 0.0}
        self.count_mm: dict[Axis, float] = {}
        self.band_mm = LEAST_BAND_MM
        """How near counts as touching."""
        self.channels = 0
        self.lacks_scales = False
        self.plans: tuple[Plan, Plan] = ((0.0, ()), (0.0, ()))
        self._own: dict[Axis, tuple[int, float, int]] = {}
        self._maps: tuple[tuple[Mapped, ...], tuple[Mapped, ...]] = ((), ())
        self._doubts = doubts
        self._first_counts: tuple[int, ...] = ()
        self._rates: tuple[tuple[int, float, float], ...] = ()
        self._least_step_s = LEAST_STEP_S
        self._until_noise = NOISE_BLOCK
        self.lay_out(known)

    def lay_out(self, known: Known) -> None:
        self.channels = 1 + max((term.channel for terms in known.terms.values() for term in terms), default=-1)
        if self.counts and len(self.counts) < self.channels:
            # A scale is set up that the board has not: what was counted so far tells of fewer axes.
            self.counts = self._first_counts = ()
            self.lacks_scales = True
        self.count_mm = {
            axis: max((abs(term.mm_per_count) for term in known.terms[axis]), default=0.001) for axis in AXES
        }
        self.band_mm = max(LEAST_BAND_MM, *(BAND_COUNTS * count for count in self.count_mm.values()))
        before = self.plans, self._maps
        self._maps = (known.mapped("X"), known.mapped("Z"))
        self.plans = (self._plan(known, "X"), self._plan(known, "Z"))
        own_slides: dict[str, Axis] = {"cross": "X", "carriage": "Z", "tailstock": "Z"}
        channels = {scale.channel: own_slides.get(scale.slide) for scale in known.config.scales}
        self._own = {
            axis: term
            for axis, (_, terms) in zip(AXES, self.plans, strict=True)
            for term in terms
            if channels.get(term[0]) == axis
        }
        self._lay_out_compound(known)
        self.lay_out_rates(known)
        if (self.plans, self._maps) != before:
            self.trail.clear()
            self._until_noise = NOISE_BLOCK
            if self.counts:
                self.x_mm, self.z_mm = self.at(self.counts, "X"), self.at(self.counts, "Z")

    def _lay_out_compound(self, known: Known) -> None:
        angle = known.config.compound.angle_deg
        scale = next((scale for scale in known.config.scales if scale.slide == "compound"), None)
        leans = min(abs(math.sin(math.radians(angle))), abs(math.cos(math.radians(angle)))) > LEAST_LEAN
        self.oblique_deg = self._compound = None
        if scale is not None and leans:
            self.oblique_deg = angle
            self._compound = (scale.channel, mm_per_count(scale, known.config.machine.temperature_c))

    def lay_out_rates(self, known: Known) -> None:
        """How fast each scale can change before that is doubted, in counts a second."""
        hello, config = self._doubts.hello, known.config
        fastest = float(hello.max_edges_s) if hello is not None and hello.max_edges_s else float("inf")
        jump_mm_s = config.machine.jump_limit_mm_s
        self._rates = tuple(
            (scale.channel, jump_mm_s / (scale.resolution_um * 1e-3), fastest) for scale in config.scales
        )
        checked = self._doubts.link is None or self._doubts.link.checked
        self._least_step_s = LEAST_STEP_S if checked else UNTIMED_STEP_S

    def begin_anew(self) -> None:
        """The board restarted: the step of its counts is told as that, not as a jump as well."""
        self.counts = ()
        self.trail.clear()

    def take(self, r: Reading, known: Known) -> bool:
        """Take a reading; False where it has too few counts for the scales set up."""
        counts = r.counts
        self.lacks_scales = len(counts) < self.channels
        if self.lacks_scales:
            return False
        if not self.counts:
            self._first_counts = self.counts = counts
            self.lay_out(known)
        self._check_steps(r)
        self.counts, self.board_s = counts, r.board_s
        (x, x_terms), (z, z_terms) = self.plans
        for channel, step, since in x_terms:
            x += step * (((counts[channel] - since + 0x80000000) & 0xFFFFFFFF) - 0x80000000)
        for channel, step, since in z_terms:
            z += step * (((counts[channel] - since + 0x80000000) & 0xFFFFFFFF) - 0x80000000)
        if self._maps != NO_MAPS:
            x += self._corrected(0, counts)
            z += self._corrected(1, counts)
        self.x_mm, self.z_mm = x, z
        if self._compound is not None:
            channel, step = self._compound
            self.compound_mm = step * signed_difference(counts[channel], self._first_counts[channel])
        self.trail.append((r.board_s, x, z))
        self._until_noise -= 1
        if self._until_noise == 0:
            self._estimate_noise()
        return True

    def at(self, counts: tuple[int, ...], axis: Axis) -> float:
        """Coordinate at other counts, as the datums are now."""
        place = AXES.index(axis)
        value, terms = self.plans[place]
        straight = sum(step * signed_difference(counts[channel], since) for channel, step, since in terms)
        return value + straight + self._corrected(place, counts)

    def _corrected(self, place: int, counts: tuple[int, ...]) -> float:
        """What the error maps add; the value of the plan has what they added at the datum taken off."""
        return sum(one.add_mm(counts) for one in self._maps[place])

    def of(self, axis: Axis) -> float:
        return self.x_mm if axis == "X" else self.z_mm

    def slide_mm(self, axis: Axis) -> float:
        """Travel of the slide that carries the axis, by its own scale: a compound slide set on it moves freely."""
        own = self._own.get(axis)
        if own is None:
            return self.of(axis)
        channel, step, _ = own
        # From the first reading on, not from the datum: touching off must not look like a move.
        return step * signed_difference(self.counts[channel], self._first_counts[channel])

    def counts_at(self, known: Known, axis: Axis, at_mm: float) -> tuple[int, ...]:
        """Counts that stood when the axis was at a coordinate; scales of the other axis as they are now."""
        counts = list(self.counts)
        terms = known.terms[axis]
        if terms:
            steps = round((at_mm - self.of(axis)) / terms[0].mm_per_count)
            counts[terms[0].channel] = wrapped(counts[terms[0].channel] + steps)
        return tuple(counts)

    def budget(self, known: Known, axis: Axis) -> Budget:
        """What the tool's position along an axis is uncertain by, and what it comes to."""
        datum = known.datums.get(axis)
        travel_mm = 0.0 if datum is None else abs(self.of(axis) - datum.value_mm)
        return combined(contributions(known, axis, self.noise_mm[axis], travel_mm, self.counts))

    def u_mm(self, known: Known, axis: Axis) -> float:
        """Expanded uncertainty (95 %) of the tool's position along an axis."""
        return self.budget(known, axis).expanded_mm

    def _check_steps(self, r: Reading) -> None:
        counts, before = r.counts, self.counts
        step_s = max(r.board_s - self.board_s, self._least_step_s)
        for channel, jump, fast in self._rates:
            moved = counts[channel] - before[channel]
            most = (jump if jump < fast else fast) * step_s  # noqa: FURB136 - min() costs five times as much
            if moved > most or -moved > most:
                self._doubt_step(r, channel, before[channel], jump * step_s)

    def _doubt_step(self, r: Reading, channel: int, before: int, jump: float) -> None:
        """A step that looks too large as plain integers; the wrap of a count does, too, and is none."""
        moved = abs(signed_difference(r.counts[channel], before))
        step_s = max(r.board_s - self.board_s, self._least_step_s)
        fastest = next(fast for one, _, fast in self._rates if one == channel) * step_s
        if moved > jump or moved > fastest:
            self._doubts.note_step(channel, r.t_s, r.counts[channel], before, fast=moved <= jump)

    def _estimate_noise(self) -> None:
        """Standard deviation over the last block, where the axis stood: its halves have the same mean."""
        self._until_noise = NOISE_BLOCK
        recent = list(self.trail)[-NOISE_BLOCK:]
        half = len(recent) // 2
        for place, axis in enumerate(AXES, start=1):
            values = [sample[place] for sample in recent]
            first, second = sum(values[:half]) / half, sum(values[half:]) / (len(values) - half)
            # Wound there and back within a block the halves agree as well: no noise is that large.
            shaken = max(values) - min(values) <= max(MOST_SHAKEN_MM, MOST_SHAKEN_COUNTS * self.count_mm[axis])
            if shaken and abs(first - second) < 1.5 * self.count_mm[axis]:
                mean = (first + second) / 2
                variance = sum((value - mean) ** 2 for value in values) / len(values)
                self.noise_mm[axis] += NOISE_SHARE * (variance**0.5 - self.noise_mm[axis])

    def _plan(self, known: Known, axis: Axis) -> Plan:
        datum = known.datums.get(axis)
        since = datum.counts if datum is not None else self._first_counts
        value = 0.0
        if datum is not None:
            shift = known.unmeasured_mm(datum, known.wound_in_mm)
            value = datum.value_mm + (known.offset_mm(axis) or 0.0) + shift
        if not since:
            since = (0,) * self.channels
        else:
            value -= self._corrected(AXES.index(axis), since)
        return value, tuple((term.channel, term.mm_per_count, since[term.channel]) for term in known.terms[axis])
