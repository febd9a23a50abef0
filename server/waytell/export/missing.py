"""What cannot be given out, and what to do about it; and what stands on everything that is."""

from __future__ import annotations

CAUTION = (
    "Your machine's manual, local rules and a qualified person come first. Everything here is what the scales said: "
    "push-off, bending, heat and a worn slide are not in it. Measure the part."
)


class Missing(Exception):  # noqa: N818 - nothing broke: the record does not hold it
    """The record does not hold what was asked for. `do` says what to do."""

    def __init__(self, words: str, do: str) -> None:
        super().__init__(words)
        self.do = do
