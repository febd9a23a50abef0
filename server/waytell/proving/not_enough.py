"""What is said where a check cannot find anything yet."""

from __future__ import annotations


class NotEnough(Exception):  # noqa: N818 - the person's points are too few or cannot be right; no fault of the program
    """Nothing can be found from this. `do` says what to do instead; nothing is lost."""

    def __init__(self, words: str, do: str) -> None:
        super().__init__(words)
        self.do = do
