"""Writes one_pass.wirelog anew: `python tests/golden/one_pass.py`. The smallest whole session: one pass is turned.

An invented aluminium spacer for a small garden-railway wagon: bar of 12 mm, turned to 11 mm over 3 mm. The board
reports ten times a second and the carriage is wound 0.25 mm between two reports, so that the log can be read by eye.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from waytell_bridge.line_protocol import encode
from waytell_bridge.wire_log import format_entry

FILE = Path(__file__).with_name("one_pass.wirelog")
STEP_NS = 100_000_000
COUNT_MM = 0.005
FED_MM = 0.25
CONFIG = {
    "scales": [
        {"channel": 0, "slide": "cross", "resolution_um": 5.0},
        {"channel": 1, "slide": "carriage", "resolution_um": 5.0},
    ],
    "tools": [{"name": "knife tool"}],
}
ACTS: tuple[dict[str, Any], ...] = (
    {"act": "use_config", "config": CONFIG},
    {"act": "new_set_up", "stock": {"diameter_mm": 12.0, "length_mm": 20.0}},
    {"act": "touch_off", "axis": "X", "at_mm": 6.0},
    {"act": "touch_off", "axis": "Z", "at_mm": 0.0},
    {
        "act": "choose_operation",
        "operation": {"name": "spacer", "kind": "turning", "start_mm": 0.0, "end_mm": -3.0, "target_mm": 5.5,
                      "depth_mm": 0.5, "tolerance_mm": 0.05},
    },
)  # fmt: skip


def places_mm() -> Iterator[tuple[float, float]]:
    """X and Z of the tool at each report: at the rim of the face, clear of it, in by the depth, fed, wound back."""
    yield from ((6.0, 0.0), (6.0, 0.0), (6.0, 0.5), (6.0, 1.0), (5.75, 1.0), (5.5, 1.0), (5.5, 1.0))
    yield from ((5.5, 1.0 - FED_MM * step) for step in range(1, 17))
    yield from ((5.5, -3.0), (5.5, -1.5), (5.5, 0.0), (5.5, 1.0), (5.5, 1.0))


def entries() -> Iterator[str]:
    t_ns = 1_000_000_000
    yield from (format_entry(t_ns, "!", json.dumps(act)) for act in ACTS)
    yield format_entry(t_ns, "<", _line("W 1 5E0A91C3 invented 2 10 fw=1.0.0 max=120000 kinds=qq"))
    for number, (x_mm, z_mm) in enumerate(places_mm()):
        counts = f"{round((x_mm - 6.0) / COUNT_MM)} {round(z_mm / COUNT_MM)}"
        report = f"P {number} {number * STEP_NS // 1000} 0 {counts}"
        yield format_entry(t_ns + number * STEP_NS, "<", _line(report))


def _line(payload: str) -> str:
    return encode(payload).decode("ascii").rstrip("\n")


def text() -> str:
    return "".join(entries())


if __name__ == "__main__":
    FILE.write_text(text(), encoding="utf-8")
