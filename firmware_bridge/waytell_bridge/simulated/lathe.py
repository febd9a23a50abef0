"""The lathe itself: slides with true positions, backlash behind their dials, a clamp that shifts, parts that give way.

Owns where the tool truly is and lets it cut the stock; knows no counts and no person. X is a radius, Z positive away
from the headstock, both from a fixed origin: centre line, and the middle of the sawn face as it was chucked.
A scale sees its slide. It does not see what lies beyond it: tool post, spindle and bar giving way under the cutting
force, which is why work comes out a little larger than read.

Not simulated: inertia of slides, stick-slip, vibration, a slide that tips, the stepped section of a turned bar (it
bends as if it were as thick everywhere as at the jaws), feed force along the bar, forces while the spindle stands.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from waytell_bridge.simulated.stock import NEAR_MM, Stock

if TYPE_CHECKING:
    from random import Random

    from waytell_bridge.simulated.settings import Settings, SlideName

# The chuck's jaws bite a little inside; the bar bends from there (common practice, no source).
JAW_ROOT_MM = 5.0
SPIN_UP_S = 0.6
LEAST_CUTTING_RPM = 60.0
# Chip thinner than this: the law of specific force no longer holds, so it is not followed further.
THINNEST_CHIP_MM = 0.01
FORCE_EXPONENT = 0.22
"""Kienzle's mc for bronze (from memory)."""


@dataclass
class Slide:
    """A slide on its screw or rack. The dial follows the handle, the slide follows when the play is taken up."""

    position_mm: float
    backlash_mm: float
    clamped: bool = False
    handle_mm: float = 0.0

    def __post_init__(self) -> None:
        self.handle_mm = self.position_mm

    def wind(self, by_mm: float) -> None:
        if self.clamped:
            return
        self.handle_mm += by_mm
        low, high = self.handle_mm - self.backlash_mm, self.handle_mm
        self.position_mm = min(max(self.position_mm, low), high)

    def play_mm(self, sense: int) -> float:
        """How far the handle turns this way before the slide follows."""
        slack = self.handle_mm - self.position_mm
        return self.backlash_mm - slack if sense > 0 else slack

    def shift(self, by_mm: float) -> None:
        """Moved by something other than its handle."""
        self.position_mm += by_mm
        self.handle_mm += by_mm


@dataclass(frozen=True)
class Contact:
    """What the tool met in the last step: touching (or all but), mean depth really taken, force pushing apart."""

    near: bool = False
    depth_mm: float = 0.0
    force_n: float = 0.0


@dataclass
class _Creep:
    slide: SlideName
    rate_mm_s: float
    left_s: float


class Lathe:
    def __init__(self, settings: Settings, chance: Random) -> None:
        self._settings = settings.lathe
        self._angle = math.radians(settings.compound_angle_deg)
        self._chance = chance
        self.slides: dict[SlideName, Slide] = {
            "cross": Slide(settings.start_x_mm, settings.lathe.cross_backlash_mm),
            "carriage": Slide(settings.start_z_mm, settings.lathe.carriage_backlash_mm),
            "compound": Slide(0.0, settings.lathe.cross_backlash_mm),
        }
        self.stock = Stock(settings.stock, chance)
        self.contact = Contact()
        self.t_s = 0.0
        self.turns = 0.0
        self.rpm = 0.0
        self._wanted_rpm = 0.0
        self._creeps: list[_Creep] = []
        self._tool = (self.tool_x_mm, self.tool_z_mm)
        self._facing = False

    @property
    def tool_x_mm(self) -> float:
        """True radius at which the tool's corner stands, as its slides place it."""
        return self.slides["cross"].position_mm + self.slides["compound"].position_mm * math.sin(self._angle)

    @property
    def tool_z_mm(self) -> float:
        return self.slides["carriage"].position_mm + self.slides["compound"].position_mm * math.cos(self._angle)

    @property
    def carriage_clamped(self) -> bool:
        return self.slides["carriage"].clamped

    def chuck(self, stock: Stock) -> None:
        """The next bar goes into the chuck."""
        self.stock = stock

    def turn_spindle(self, rpm: float) -> None:
        self._wanted_rpm = rpm

    def clamp(self, slide: SlideName, *, held: bool) -> None:
        """Clamping pulls the slide over a little; letting go gives some of it back."""
        if self.slides[slide].clamped == held:
            return
        pull_um = self._chance.gauss(self._settings.clamp_shift_um, self._settings.clamp_scatter_um)
        self.slides[slide].shift(pull_um * 1e-3 if held else -0.5e-3 * pull_um)
        self.slides[slide].clamped = held

    def creep(self, slide: SlideName, mm: float, seconds: float) -> None:
        """Let a slide give way by so much over so long, clamped or not."""
        self._creeps.append(_Creep(slide, mm / seconds, seconds))

    def advance(self, dt: float) -> None:
        """Let `dt` seconds pass, after the handles were wound."""
        self.t_s += dt
        self._turn(dt)
        self._give_way(dt)
        (from_x, from_z), x, z = self._tool, self.tool_x_mm, self.tool_z_mm
        self._tool = (x, z)
        if x != from_x or z != from_z:
            self._facing = abs(x - from_x) > abs(z - from_z)
        if self.rpm < LEAST_CUTTING_RPM or self.stock.clear_of(min(x, from_x), min(z, from_z)):
            self.contact = Contact()
        else:
            self._cut(dt, from_x, from_z)

    def _turn(self, dt: float) -> None:
        wanted = max(0.0, self._wanted_rpm - self._settings.rpm_droop_n * self.contact.force_n)
        self.rpm += (wanted - self.rpm) * min(1.0, dt / SPIN_UP_S)
        if wanted == 0.0 and self.rpm < LEAST_CUTTING_RPM:
            self.rpm = 0.0
        self.turns += self.rpm / 60 * dt

    def _give_way(self, dt: float) -> None:
        for creep in self._creeps:
            step_s = min(dt, creep.left_s)
            creep.left_s -= step_s
            self.slides[creep.slide].shift(creep.rate_mm_s * step_s)
        self._creeps = [creep for creep in self._creeps if creep.left_s > 0]
        if self.contact.force_n and self._facing:
            rate = self._settings.clamped_creep_um_s_n if self.carriage_clamped else self._settings.free_drift_um_s_n
            self.slides["carriage"].shift(rate * 1e-3 * self.contact.force_n * dt * self._chance.uniform(0.4, 1.6))

    def _cut(self, dt: float, from_x: float, from_z: float) -> None:
        x, z = self._tool
        step_x, step_z = x - from_x, z - from_z
        metal = self.stock.ahead(x, z, step_x, step_z)
        touching = [min(radial, axial) > -NEAR_MM for radial, axial in metal]
        if not any(touching):
            self.contact = Contact()
            return
        feed = abs(step_x if self._facing else step_z) / dt * 60 / self.rpm
        give = self._settings.axial_give_um_n * 1e-3 if self._facing else self._radial_give_mm_n(z)
        depths = [
            max(0.0, axial if self._facing else radial) if touch else 0.0
            for touch, (radial, axial) in zip(touching, metal, strict=True)
        ]
        push = [self._pushed_apart(depth, feed, give) for depth in depths]
        if self._facing:
            self.stock.face_feed(from_x, x, [z + off for off in push])
        else:
            self.stock.turn_feed(from_z, z, [x + off for off in push])
        taken = [depth - off for depth, off in zip(depths, push, strict=True)]
        self.contact = Contact(
            near=True, depth_mm=sum(taken) / len(taken), force_n=sum(off / give for off in push) / len(push)
        )

    def _pushed_apart(self, depth_mm: float, feed_mm: float, give_mm_n: float) -> float:
        """How far tool and work give way: less metal is then met, so force and depth settle together."""
        settings, stock = self._settings, self.stock.settings
        chip = max(feed_mm, THINNEST_CHIP_MM)
        force_a_mm: float = (
            settings.passive_share * stock.specific_force_n_mm2 * math.pow(chip, -FORCE_EXPONENT) * feed_mm
        )
        push = give_mm_n * (settings.rub_n + force_a_mm * depth_mm) / (1 + give_mm_n * force_a_mm)
        return min(push, depth_mm)

    def _radial_give_mm_n(self, z_mm: float) -> float:
        """Cantilever F a^3 / (3 E I) out of the jaws, on top of what the lathe itself gives."""
        arm = max(0.0, z_mm + self.stock.settings.length_mm) + JAW_ROOT_MM
        inertia = math.pi * self.stock.settings.diameter_mm**4 / 64
        bending = arm**3 / (3 * self.stock.settings.elasticity_n_mm2 * inertia)
        return self._settings.radial_give_um_n * 1e-3 + bending
