"""A journal looked through: what is in it, and whether all of it is as it was written."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import NamedTuple

from waytell.journal import sqlite_file
from waytell.journal.store import Store
from waytell.journal.traces import Contents
from waytell.journal.trouble import JournalError


class MachineKept(NamedTuple):
    """Of one machine."""

    machine: str
    events: int
    passes: int
    traces: Contents | None


class Looked(NamedTuple):
    """`faults` in words; none where the journal is sound."""

    file: Path
    bytes: int
    machines: list[MachineKept]
    faults: list[str]


def look_through(file: Path, *, traces: bool = True) -> Looked:
    """Look through a journal, also while it is written to; without its readings where `traces` is false.

    One of an older version is brought up to date.
    """
    size = sum(one.stat().st_size for one in (file, sqlite_file.beside(file, "-wal")) if one.exists())
    machines: list[MachineKept] = []
    try:
        faults = sqlite_file.faults(file)
        store = Store(f"sqlite:///{file.as_posix()}")
        try:
            machines += [_kept(store, machine, traces=traces) for machine in store.machines()]
        finally:
            store.close()
    except (sqlite3.Error, JournalError) as error:
        return Looked(file, size, machines, [str(error)])
    for one in machines:
        faults += [f"{one.machine}: {fault}" for fault in (one.traces.faults if one.traces is not None else [])]
    return Looked(file, size, machines, faults)


def _kept(store: Store, machine: str, *, traces: bool) -> MachineKept:
    events = store.load(machine)
    passes = sum(event.kind == "pass_finished" for event in events)
    return MachineKept(machine, len(events), passes, store.look_over(machine) if traces else None)
