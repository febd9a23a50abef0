"""An invented piece of work as the journal keeps it: bronze bushes for a small garden-railway wagon.

Bodies are written by hand in the form of the journal; passes of simulated lathes come from replays.
"""

from __future__ import annotations

from typing import Any

from waytell.documents.pictures import pack
from waytell.documents.state import Event

PASS: dict[str, Any] = {
    "number": 1, "kind": "facing", "role": "finish", "operation": "face the bush", "tool": "turning tool", "set_up": 1,
    "part": 1, "feed_axis": "X", "fed_by": "cross", "start_mm": 12.0, "end_mm": 0.0, "held_mm": 0.0, "depth_mm": 0.1,
    "creep_mm": 0.0, "creep_at_mm": None, "came_back": False, "overrun_mm": 0.0, "feed_mm_min": 36.0,
    "feed_mm_rev": None, "rpm": None, "duration_s": 20.0, "t_start_s": 100.0, "t_end_s": 120.0, "area_mm2": None,
    "volume_mm3": None, "cutting_distance_m": None, "doubts": [],
}  # fmt: skip
TURNED = {
    **PASS, "kind": "turning", "operation": "turn the bush", "feed_axis": "Z", "fed_by": "carriage", "start_mm": 0.0,
    "end_mm": -30.0, "held_mm": 9.0,
}  # fmt: skip
BEFORE = [[-30.0, 0.0], [-30.0, 12.0], [0.0, 12.0], [0.0, 0.0]]
AFTER = [[-30.0, 0.0], [-30.0, 12.0], [-10.0, 12.0], [-10.0, 9.0], [0.0, 9.0], [0.0, 0.0]]
KEPT = ("samples", "outline_before", "outline_after")
# Where the scales stood: what the engine, not the review, wants to know of a pass.
SCALES = {"held_counts": [0, 0], "wound_in_mm": 0.0, "boot": None, "missed": {}, "sound": True}


class Journal:
    """Events in the order in which they are told, one second after the other."""

    def __init__(self) -> None:
        self.events: list[Event] = []
        self.passes = 0

    def add(self, kind: Any, body: dict[str, Any], at_s: float | None = None) -> int:
        number = len(self.events) + 1
        second = number if at_s is None else at_s
        wall = f"2031-05-04T10:{int(second // 60):02d}:{second % 60:06.3f}Z"
        self.events.append(Event(number=number, t_s=float(second), wall=wall, kind=kind, words=kind, body=body))
        return number

    def act(self, act: str, *, undoes: int | None = None, at_s: float | None = None, **fields: Any) -> int:
        body: dict[str, Any] = {"act": {"act": act, **fields}}
        if undoes is not None:
            body["undoes"] = undoes
        return self.add("act", body, at_s)

    def passed(self, base: dict[str, Any] = PASS, at_s: float | None = None, **changes: Any) -> int:
        self.passes += 1
        shown = [changes.pop(name, []) for name in KEPT]
        kept: dict[str, Any] = {"pictures": pack(*shown), "outlined": bool(shown[2])} if any(shown) else {}
        return self.add("pass_finished", {"pass": {**base, **changes, "number": self.passes}, **SCALES, **kept}, at_s)

    def measured(self, at_mm: float, operation: str = "turn the bush", **fields: Any) -> int:
        fields = {"axis": "X", "u_mm": 0.002, "low_mm": 8.98, "high_mm": 9.0, **fields}
        return self.act("measured", operation=operation, at_mm=at_mm, **fields)
