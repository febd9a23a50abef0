"""What each contribution to an uncertainty is called, and what would make it smaller."""

from __future__ import annotations

NAMES = {
    "resolution": "steps of the scale, at the datum and now",
    "scale": "errors along the scale",
    "map": "what the error map leaves",
    "reference": "what the scale was compared with",
    "repeatability": "how well places repeat",
    "reversal": "play on turning round",
    "noise": "noise at rest",
    "touch": "touching off",
    "tool": "touching off another tool",
    "expansion": "temperature of the scale",
}
HELPS = {
    "resolution": "A finer scale would help most; nothing else can.",
    "scale": "Check the scale against known places (error map): until then it is taken for as bad as it may be.",
    "map": "Take the error map with more places, each several times.",
    "reference": "Compare with something better known: gauge blocks of a better grade, or a longer distance.",
    "repeatability": "Look for play in the mounting of the reading head, and tighten the slide's gib.",
    "reversal": "Approach a size always from the same side, and take up the play.",
    "noise": "Keep the scale's cable away from the motor's, and earth the board.",
    "touch": "Touch off by a measured size instead of by touch: turn a little, measure, and say what it is.",
    "tool": "Touch off the other tool by a measured size as well.",
    "expansion": "Say the temperature (check temperature), and let lathe and work come to it.",
}
