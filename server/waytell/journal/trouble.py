"""What can go wrong with the journal, in words for the person."""

from __future__ import annotations

from typing import NamedTuple

from sqlalchemy.exc import DBAPIError


class JournalError(Exception):
    """The journal cannot be read or written; the message says what to do. Nothing stored was harmed.

    `lasting` is true where trying again cannot help, so that nothing more is written into a damaged file.
    """

    def __init__(self, words: str, *, lasting: bool = False) -> None:
        super().__init__(words)
        self.lasting = lasting


class NewerJournalError(JournalError):
    """A newer program made it; this one cannot know what is in it."""


class _Hint(NamedTuple):
    part: str
    words: str
    lasting: bool = False


KEPT = "What is not stored yet is kept in memory and stored then."
INSTEAD = (
    "Stop Waytell, then put a backup in its place with waytell journal restore, or move the file away to begin anew."
)
_HINTS = (
    _Hint("full", f"The disk is full: make room. {KEPT}"),
    _Hint("disk I/O error", f"The disk is full or failing: make room and check it. {KEPT}"),
    _Hint("readonly", f"The disk or the file is read-only: make it writable. {KEPT}"),
    _Hint("malformed", f"The file is damaged, and nothing more is written to it. {INSTEAD}", lasting=True),
    _Hint("UTF-8", f"The file is damaged, and nothing more is written to it. {INSTEAD}", lasting=True),
    _Hint("no such column", f"The file is damaged, and nothing more is written to it. {INSTEAD}", lasting=True),
    _Hint(
        "not a database", "The file is damaged or no journal: stop, move it away, or name another data folder with "
        "--data, or put a backup in its place with waytell journal restore.", lasting=True,
    ),
    _Hint("locked", f"Another program holds it: close that. {KEPT}"),
    _Hint("unable to open", f"Check that the folder named with --data exists and may be written. {KEPT}"),
    _Hint("UNIQUE", "Another Waytell writes into the same journal: stop one of them.", lasting=True),
)  # fmt: skip


def told(where: str, error: Exception, verb: str) -> JournalError:
    """An error of the database in words; `verb` is what could not be done to the journal."""
    reason = str(error.orig if isinstance(error, DBAPIError) else error)
    hint = next((hint for hint in _HINTS if hint.part in reason), _Hint("", "Check the disk and the folder's rights."))
    return JournalError(f"The journal {where} cannot be {verb} ({reason}). {hint.words}", lasting=hint.lasting)


def damaged(where: str, what: str) -> JournalError:
    """Damage that the database itself did not see."""
    return JournalError(f"The journal {where} is damaged: {what}. Nothing is written to it. {INSTEAD}", lasting=True)
