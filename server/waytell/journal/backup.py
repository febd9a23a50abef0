"""Copies of the journal: made while it is in use, and put in its place."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime
from pathlib import Path

from waytell.journal import sqlite_file
from waytell.journal.checking import look_through
from waytell.journal.trouble import JournalError

_ENDINGS = ("", "-wal", "-shm")


def back_up(journal: Path, to: Path) -> None:
    """Copy the journal as it is at one moment to a new file; Waytell may go on working.

    Raises:
        JournalError: it is damaged, or the copy cannot be written; no file is left then.
    """
    if to.exists():
        raise JournalError(f"{to} exists already. Name another file, or move it away first.")
    _sound_copy(journal, to, to)


def restore(backup: Path, journal: Path) -> Path | None:
    """Put a backup in the journal's place; where the old journal is now, None where there was none.

    Raises:
        JournalError: the backup is not sound, or Waytell works with the journal; all is as it was.
    """
    if not backup.exists():
        raise JournalError(f"There is no file {backup}. Name a backup that waytell journal backup made.")
    if journal.exists() and sqlite_file.in_use(journal):
        raise JournalError(f"Waytell works with the journal {journal}: stop it first.")
    new = journal.with_name("journal-restored.part")
    try:
        journal.parent.mkdir(parents=True, exist_ok=True)
        _remove(new)
        _sound_copy(backup, new, journal)
        aside = _move_aside(journal)
        new.rename(journal)
    except OSError as error:
        raise JournalError(f"The journal {journal} cannot be replaced: {error.strerror}. Check the folder.") from error
    return aside


def _sound_copy(source: Path, to: Path, meant_for: Path) -> None:
    try:
        sqlite_file.copy(source, to)
    except (sqlite3.Error, OSError) as error:
        _remove(to)
        raise JournalError(f"{source} cannot be copied to {meant_for}: {error}.", lasting=True) from error
    # Readings by the million would take long to look at: those are left to waytell journal check.
    looked = look_through(to, traces=False)
    if looked.faults or not looked.machines:
        _remove(to)
        why = "; ".join(looked.faults) or "there is nothing in it"
        raise JournalError(f"{source} is no sound journal: {why.replace(str(to), str(source))}", lasting=True)


def _move_aside(journal: Path) -> Path | None:
    """With what lies beside it: a log of the old journal must never be taken for the new one's."""
    there = [ending for ending in _ENDINGS if sqlite_file.beside(journal, ending).exists()]
    if not there:
        return None
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S.%fZ")
    aside = journal.with_name(f"journal-until-{stamp}.sqlite")
    for ending in there:
        sqlite_file.beside(journal, ending).rename(sqlite_file.beside(aside, ending))
    return aside


def _remove(file: Path) -> None:
    for ending in _ENDINGS:
        sqlite_file.beside(file, ending).unlink(missing_ok=True)
