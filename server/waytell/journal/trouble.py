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
    """Of what the database says."""
    words: str
    lasting: bool = False


_KEPT = "what is not stored yet is kept and stored then."
_DAMAGED = (
    "The journal is damaged: stop Waytell, then put back a backup (waytell journal restore) or move the file away."
)
_HINTS = (
    _Hint("full", f"the disk is full. Make room; {_KEPT}"),
    _Hint("disk I/O error", f"the disk is full or failing. Make room and check it; {_KEPT}"),
    _Hint("readonly", f"the disk or the file is read-only. Make it writable; {_KEPT}"),
    _Hint("locked", f"another program holds it. Close that; {_KEPT}"),
    _Hint("unable to open", f"its folder is not there or may not be written. Check it, or name another; {_KEPT}"),
    _Hint("lock timeout", f"another program holds it. Close that; {_KEPT}"),
    _Hint("statement timeout", f"the database server is too slow to answer. Look after it; {_KEPT}"),
    _Hint("password authentication", f"the database server refuses user or password. Check both; {_KEPT}"),
    _Hint("does not exist", "the database server has no such database or user. Make it first.", lasting=True),
    _Hint("connection", f"the database server is not reached. See that it runs and the network is up; {_KEPT}"),
    _Hint("duplicate key", "another Waytell writes into it. Stop one of them.", lasting=True),
    _Hint("UNIQUE", "another Waytell writes into it. Stop one of them.", lasting=True),
)
# The last is of text that is none any more.
_SIGNS_OF_DAMAGE = ("malformed", "not a database", "no such column", "UTF-8", "utf-8")


def told(where: str, error: Exception, verb: str) -> JournalError:
    """An error of the database in words; `verb` is what could not be done to the journal.

    What to do comes first: a display may have no room for all.
    """
    reason = str(error.orig if isinstance(error, DBAPIError) else error)
    if any(sign in reason for sign in _SIGNS_OF_DAMAGE):
        return damaged(where, reason)
    hint = next((hint for hint in _HINTS if hint.part in reason), _Hint("", f"check the disk; {_KEPT}"))
    return JournalError(f"The journal cannot be {verb}: {hint.words} ({where}: {reason})", lasting=hint.lasting)


def damaged(where: str, what: str) -> JournalError:
    """Damage, whether the database saw it or not."""
    return JournalError(f"{_DAMAGED} ({where}: {what})", lasting=True)
