"""What has been proved of the scales: checks under way and finished, the maps in use, and where their zeros are.

Part of what is known; like all of it a fold over happenings. A zero is lost with the counts it rests on.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any, Literal, NamedTuple

from waytell.documents import acts
from waytell.documents.base import Axis, Slide
from waytell.documents.config import Config, Scale
from waytell.documents.proving import Check, Gives, Proof, ScaleMap, Stood, Trust
from waytell.engine.axes import axis_share, mm_per_count, signed_difference, wrapped
from waytell.engine.error_map import Mapped
from waytell.engine.happening import Happening

SAME_MARK_MM = 0.1
ROUGH = 0.01
"""A resolution that changes by more than this share was wrong: nothing measured with it holds."""


class Zero(NamedTuple):
    """Where the map of a scale is counted from, and what these counts rest on."""

    counts: int
    missed: int


class Point(NamedTuple):
    number: int
    """From 1, in the order in which they were captured: the same wherever the acts are played again."""
    says_mm: float | None
    stood: Stood


@dataclass(slots=True)
class CheckUnderWay:
    check: Check
    number: int
    wall: str
    points: list[Point] = field(default_factory=list)
    left_out: set[int] = field(default_factory=set)


class Found(NamedTuple):
    number: int
    """From 1, the oldest first."""
    wall: str
    proof: Proof


@dataclass(slots=True)
class Proved:
    check: CheckUnderWay | None = None
    found: list[Found] = field(default_factory=list)
    """The oldest first."""
    used: dict[str, int] = field(default_factory=dict)
    """Which finding is in use, by what it gives and for which slide."""
    maps: dict[Slide, ScaleMap] = field(default_factory=dict)
    zeros: dict[int, Zero] = field(default_factory=dict)
    """By channel, of the map in use."""
    fresh: dict[int, tuple[int, Zero]] = field(default_factory=dict)
    """Channel and zero of each map that was found, by its number: only its use makes it that of the scale."""
    marks: dict[int, list[float]] = field(default_factory=dict)
    """Places of reference marks from the zero, in mm, by channel."""
    trust: dict[Slide, dict[str, Trust]] = field(default_factory=dict)

    def copied(self) -> Proved:
        """For trying what would be: what changes in the copy does not change here."""
        return replace(
            self, found=list(self.found), used=dict(self.used), maps=dict(self.maps), zeros=dict(self.zeros),
            fresh=dict(self.fresh), marks={channel: list(known) for channel, known in self.marks.items()},
            trust={slide: dict(known) for slide, known in self.trust.items()},
        )  # fmt: skip

    # -- checks ----------------------------------------------------------------------------------------------------

    def begin(self, act: acts.BeginCheck, happening: Happening) -> None:
        self.check = CheckUnderWay(act.check, happening.number, happening.wall)

    def capture(self, act: acts.Capture) -> None:
        if self.check is not None and act.stood is not None:
            self.check.points.append(Point(len(self.check.points) + 1, act.says_mm, act.stood))

    def leave_out(self, act: acts.LeaveOut) -> None:
        if self.check is not None:
            (self.check.left_out.add if act.left_out else self.check.left_out.discard)(act.capture)

    def finish(self, act: acts.FinishCheck, happening: Happening) -> None:
        self.check = None
        if act.proof is None:
            return
        self.found.append(Found(len(self.found) + 1, happening.wall, act.proof))
        gives = act.proof.gives
        # What only tells how far a scale can be relied on counts at once; a map's trust only with the map.
        if gives.slide is not None and not gives.changes_figures:
            self._rely(gives.slide, gives.trust)
        for slide, noise_um in gives.noise.items():
            # Motor off and on are found one after the other: the worse of the two counts.
            self._rely(slide, (Trust(name=_noise_name(act.proof), standard_um=noise_um),))
        if gives.zero_channel is not None and gives.zero_counts is not None:
            self.fresh[len(self.found)] = (gives.zero_channel, Zero(gives.zero_counts, gives.zero_missed))

    def finding(self, number: int) -> Proof | None:
        return next((one.proof for one in self.found if one.number == number), None)

    # -- use -------------------------------------------------------------------------------------------------------

    def use(self, act: acts.UseProof, config: Config) -> Config:
        """The configuration that follows; maps and trust are kept here."""
        proof = self.finding(act.proof)
        if proof is None or proof.gives.slide is None:
            return config
        gives, slide = proof.gives, proof.gives.slide
        key = f"{proof.check.kind} {slide}"
        if not act.use:
            self.used.pop(key, None)
            self._drop_map(slide)
            return config
        changed = with_scale(config, gives)
        self.fitted(config, changed)
        # Last: what was used of the scale as it was before is not in use any more, this finding is.
        self.used[key] = act.proof
        if gives.map is not None:
            self.maps[slide] = gives.map
            if gives.zero_channel is not None:
                self._lose(gives.zero_channel)
            if act.proof in self.fresh:
                channel, zero = self.fresh[act.proof]
                self.zeros[channel] = zero
        self._rely(slide, gives.trust)
        return changed

    def fitted(self, before: Config, after: Config) -> None:
        """Another scale, or one that counts otherwise, is not the one that was proved."""
        scales = {one.slide: one for one in after.scales}
        for old in before.scales:
            new = scales.get(old.slide)
            # What a scale may be off is no part of how it counts.
            if new is not None and new.model_copy(update={"accuracy_um": old.accuracy_um}) == old:
                continue
            self._drop_map(old.slide)
            if new is None or not same_scale(old, new):
                self.trust.pop(old.slide, None)
                self._lose(old.channel)
                self._forget(old.channel)
                self.used = {key: one for key, one in self.used.items() if not key.endswith(f" {old.slide}")}

    def _drop_map(self, slide: Slide) -> None:
        """A map corrects what the scale showed when it was made: with any other factor it would be wrong."""
        if self.maps.pop(slide, None) is not None:
            self.used.pop(f"map {slide}", None)
            for name in ("map", "reference", "straightness"):
                self.trust.get(slide, {}).pop(name, None)

    def _lose(self, channel: int) -> None:
        """Another zero: marks were counted from the old one."""
        self.zeros.pop(channel, None)
        self.marks.pop(channel, None)

    def _forget(self, channel: int) -> None:
        """Its counts mean nothing any more: zeros are lost, also of maps that are not in use."""
        self.zeros.pop(channel, None)
        self.fresh = {number: one for number, one in self.fresh.items() if one[0] != channel}

    def _rely(self, slide: Slide, trust: tuple[Trust, ...]) -> None:
        self.trust.setdefault(slide, {}).update({one.name: one for one in trust})

    # -- the zero of a map -----------------------------------------------------------------------------------------

    def at_stop(self, act: acts.AtStop, config: Config, body: dict[str, Any]) -> None:
        scale = next((one for one in config.scales if one.slide == act.slide), None)
        if scale is not None:
            counts = body["counts"][scale.channel]
            self.zeros[scale.channel] = Zero(counts, int(body["missed"].get(str(scale.channel), 0)))

    def heard(self, body: dict[str, Any], config: Config) -> None:
        """What the board told: a start without its counts, a jump, a mark."""
        if "boot" in body and body.get("restarted") and not body.get("kept"):
            self.zeros.clear()
            self.fresh.clear()
        elif "stepped" in body:
            self._forget(body["stepped"][0])
        elif "mark" in body:
            self._mark(*body["mark"], config=config)

    def learns_from(self, channel: int, at_count: int, missed: int, config: Config) -> bool:
        """A reference mark tells something new: where it is, or where the zero is."""
        zero = self.zeros.get(channel)
        at_mm = self._mark_at(channel, at_count, missed, config)
        if at_mm is not None:
            return all(abs(at_mm - one) > SAME_MARK_MM for one in self.marks.get(channel, []))
        # With several marks nobody knows which of them this is.
        return zero is None and len(self.marks.get(channel, [])) == 1

    def _mark_at(self, channel: int, at_count: int, missed: int, config: Config) -> float | None:
        zero, step = self.zeros.get(channel), _step_mm(config, channel)
        if zero is None or step is None or zero.missed != missed:
            return None
        return step * signed_difference(at_count, zero.counts)

    def _mark(self, channel: int, at_count: int, missed: int, *, config: Config) -> None:
        if not self.learns_from(channel, at_count, missed, config):
            return
        at_mm, step = self._mark_at(channel, at_count, missed, config), _step_mm(config, channel)
        if at_mm is not None:
            self.marks.setdefault(channel, []).append(at_mm)
        elif step is not None:
            self.zeros[channel] = Zero(wrapped(at_count - round(self.marks[channel][0] / step)), missed)

    def referenced(self, missed: dict[str, Any]) -> None:
        """An axis was touched off: edges missed since a zero was found make it worthless."""
        for channel, zero in [*self.zeros.items(), *self.fresh.values()]:
            if int(missed.get(str(channel), 0)) != zero.missed:
                self._forget(channel)

    def mapped(self, config: Config, axis: Axis) -> tuple[Mapped, ...]:
        """The maps that can be used for an axis."""
        ready = [one for one in config.scales if one.slide in self.maps and one.channel in self.zeros]
        return tuple(
            Mapped(one.channel, self.zeros[one.channel].counts, mm_per_count(one, config.machine.temperature_c),
                   share, self.maps[one.slide])
            for one in ready if (share := axis_share(config, one.slide, axis))
        )  # fmt: skip


def _noise_name(proof: Proof) -> Literal["noise", "noise_running"]:
    return "noise_running" if getattr(proof.check, "motor", "off") == "on" else "noise"


def same_scale(one: Scale, other: Scale) -> bool:
    """The same scale, fitted in the same way; a factor near 1 does not make it another."""
    return (one.channel, one.direction) == (other.channel, other.direction) and not _roughly_other(
        one.resolution_um, other.resolution_um
    )


def _roughly_other(before: float, after: float) -> bool:
    return abs(after / before - 1) > ROUGH


def with_scale(config: Config, gives: Gives) -> Config:
    """The configuration with what a finding gives for its slide."""
    scales = list(config.scales)
    told = {"channel": gives.channel, "direction": gives.direction, "resolution_um": gives.resolution_um,
            "scale_factor": gives.scale_factor}  # fmt: skip
    told = {name: value for name, value in told.items() if value is not None}
    if gives.channel is not None:
        # A scale found on this slide is on no other one.
        scales = [one for one in scales if one.slide == gives.slide or one.channel != gives.channel]
    place = next((place for place, one in enumerate(scales) if one.slide == gives.slide), None)
    if place is not None:
        scales[place] = Scale.model_validate({**scales[place].model_dump(), **told})
    elif gives.channel is not None and gives.slide is not None:
        scales.append(Scale.model_validate({"slide": gives.slide, "resolution_um": 5.0, **told}))
    machine = config.machine
    if gives.temperature_c is not None:
        machine = machine.model_copy(update={"temperature_c": gives.temperature_c})
    return config.model_copy(update={"scales": tuple(scales), "machine": machine})


def _step_mm(config: Config, channel: int) -> float | None:
    scale = next((one for one in config.scales if one.channel == channel), None)
    return None if scale is None else mm_per_count(scale, config.machine.temperature_c)
