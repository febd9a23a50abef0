"""What can be set in the simulated workshop. Lengths in mm unless a name says otherwise, X as a radius.

Not here: anything about planning or what a display shows; the `config_document` only says how the scales are fitted,
in the form in which a person would tell it to the program.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal

SlideName = Literal["cross", "carriage", "compound"]
Style = Literal["smooth", "uneven", "jerky"]


@dataclass(frozen=True)
class ScaleSettings:
    """One scale as it is fitted: its grid of counts and its own errors against true length."""

    slide: SlideName
    resolution_um: float = 5.0
    direction: Literal[1, -1] = 1
    start_count: int = 0
    linear_error_um_m: float = 0.0
    periodic_error_um: float = 0.0
    period_mm: float = 0.02
    noise_counts: float = 0.0
    mark_mm: float | None = None
    """True position of the slide at the reference mark."""


@dataclass(frozen=True)
class BoardSettings:
    """The counter board and its line."""

    model: str = "simulated"
    firmware: str = "1.0.0"
    rate_hz: int = 250
    pulses_per_rev: int = 1
    switches: int = 0
    """2: bit 0 follows the clamp of the carriage, bit 1 is a foot switch that nobody treads on."""
    max_edges_s: int = 120_000
    start_seq: int = 0
    start_us: int = 0
    clock_error_ppm: float = 35.0
    lost_report_share: float = 0.0
    damaged_line_share: float = 0.0


@dataclass(frozen=True)
class StockSettings:
    """The bar as it was sawn off and put in the chuck. The chuck's jaws end at Z = -length."""

    diameter_mm: float = 24.0
    length_mm: float = 40.0
    diameter_error_mm: float = 0.02
    run_out_mm: float = 0.03
    """Whole movement of a dial on the bar in one turn."""
    saw_tilt_mm: float = 0.4
    """Height of the sawn face from one edge to the other."""
    saw_wave_mm: float = 0.1
    elasticity_n_mm2: float = 110_000.0
    """Young's modulus of bronze (from memory)."""
    specific_force_n_mm2: float = 700.0
    """Cutting force a mm2 of chip section at a chip 1 mm thick, bronze (from memory)."""
    material: str = "bronze"


@dataclass(frozen=True)
class LatheSettings:
    """A small bench lathe that has seen some use."""

    cross_backlash_mm: float = 0.12
    carriage_backlash_mm: float = 0.25
    clamp_shift_um: float = 3.0
    """Clamping the carriage moves it by about so much; unclamping lets some of it go again."""
    clamp_scatter_um: float = 1.5
    clamped_creep_um_s_n: float = 0.002
    free_drift_um_s_n: float = 0.12
    """How fast a carriage that is not clamped gives way under a newton of cutting force."""
    radial_give_um_n: float = 0.12
    """Tool post, cross-slide, spindle and chuck together give way so much; the bar's own bending comes on top."""
    axial_give_um_n: float = 0.05
    rub_n: float = 4.0
    """Force of an edge that only rubs: why a spring pass does not take off all that is left."""
    passive_share: float = 0.4
    """Share of the cutting force that pushes tool and work apart (common practice, no source)."""
    rpm: float = 800.0
    rpm_droop_n: float = 0.15
    """Revolutions a minute lost for each newton of cutting force."""


@dataclass(frozen=True)
class HandSettings:
    """A person. Times from everyday experience (no source)."""

    style: Style = "smooth"
    reaction_s: float = 0.22
    figure_error_um: float = 2.0
    press_s: float = 0.5
    """From deciding to press a key to having the hand back on the wheel."""
    patience_s: float = 6.0
    """How long the person waits before struck-through figures until touching off again."""
    micrometer_error_um: float = 1.5
    micrometer_step_um: float = 2.0


def _two_scales() -> tuple[ScaleSettings, ...]:
    return (
        ScaleSettings("cross", linear_error_um_m=25.0, periodic_error_um=0.8, mark_mm=20.0),
        ScaleSettings("carriage", linear_error_um_m=-20.0, periodic_error_um=1.0, mark_mm=5.0),
    )


@dataclass(frozen=True)
class Settings:
    scales: tuple[ScaleSettings, ...] = field(default_factory=_two_scales)
    board: BoardSettings = BoardSettings()
    stock: StockSettings = StockSettings()
    lathe: LatheSettings = LatheSettings()
    hand: HandSettings = HandSettings()
    start_x_mm: float = 16.0
    start_z_mm: float = 6.0
    compound_angle_deg: float = 0.0


TOOLS: tuple[dict[str, Any], ...] = (
    {"name": "facing and turning tool", "nose_radius_mm": 0.0, "hand": "right", "approach_angle_deg": 93.0},
)


def config_document(settings: Settings) -> dict[str, Any]:
    """The configuration of this lathe, as a person would enter it: all that is known without the hidden truth."""
    scales = [
        {
            "channel": channel,
            "slide": scale.slide,
            "resolution_um": scale.resolution_um,
            "direction": scale.direction,
        }
        for channel, scale in enumerate(settings.scales)
    ]
    return {
        "machine": {"name": "simulated lathe (invented)", "spindle_max_rpm": 2000.0},
        "scales": scales,
        "compound": {"angle_deg": settings.compound_angle_deg},
        "tools": [dict(tool) for tool in TOOLS],
    }
