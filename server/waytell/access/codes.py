"""One-time codes that let a device in: shown at the computer, typed or scanned at the device. No clock of its own."""

from __future__ import annotations

import hmac
import secrets
from typing import NamedTuple

from waytell.documents.access import Right

DIGITS = 8
GOOD_FOR_S = 300.0
# With 5 tries at 10^8 codes somebody who guesses has one chance in 20 million each time a code is shown.
TRIES = 5


class _Shown(NamedTuple):
    code: str
    role: Right
    until_s: float


class WrongCode(Exception):  # noqa: N818 - an answer for the person
    """With what to do."""


class Codes:
    """The one code that is good now, if any."""

    def __init__(self) -> None:
        self._shown: _Shown | None = None
        self._wrong = 0

    def show(self, role: Right, now_s: float) -> str:
        """A new code; one shown before is good no longer."""
        code = f"{secrets.randbelow(10**DIGITS):0{DIGITS}d}"
        self._shown, self._wrong = _Shown(code, role, now_s + GOOD_FOR_S), 0
        return code

    def take(self, code: str, now_s: float) -> Right:
        """The role that a code gives; it is good no longer.

        Raises:
            WrongCode: it is not the code that is shown, or too late, or too many were wrong.
        """
        shown = self._shown
        if shown is None or now_s >= shown.until_s:
            self._shown = None
            raise WrongCode("Show a new code at the computer that Waytell runs on.")
        digits = "".join(one for one in code if one in "0123456789")
        if not hmac.compare_digest(digits, shown.code):
            self._wrong += 1
            if self._wrong >= TRIES:
                self._shown = None
                raise WrongCode("Too many wrong codes: show a new one at the computer.")
            raise WrongCode("Type the code that the computer shows now.")
        self._shown = None
        return shown.role
