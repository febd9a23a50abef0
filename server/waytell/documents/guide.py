"""What the guide says: the one next physical move, why, and what can be answered with one key."""

from __future__ import annotations

from typing import Any, Literal

from waytell.documents.base import Document

GuideState = Literal[
    "link", "scales", "hold", "lost_count", "next_part", "chuck", "cautions", "slow_spin", "touch_x", "touch_z",
    "choose", "past_end", "stop_here", "feeding", "wind_clear", "face_clean", "new_face", "not_clean", "enter_size",
    "measure", "correct", "past_limit", "turn_round", "next_step", "part_done", "advance", "deeper", "clamp", "skim",
    "feed", "free",
]  # fmt: skip
Sheet = Literal["cautions", "touch", "part", "size", "operation", "set_up", "scales"]


class Reply(Document):
    """What the guide's own key does: it tells an act, or opens what is to be entered."""

    words: str
    act: dict[str, Any] | None = None
    opens: Sheet | None = None


class Guide(Document):
    """The one next physical move."""

    state: GuideState
    move: str
    why: str
    """What it goes by."""
    yes: Reply | None = None
    """None where the positions themselves will tell that it was done."""
    no: str | None = None
    """Words of the key that says it is not so, and has the guide go on to what fits next; None where only mending the
    cause helps."""
