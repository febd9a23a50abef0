"""A journal from one place to another: from a data folder to a database server, or back."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from waytell.journal.store import Store
from waytell.journal.trouble import JournalError

AT_ONCE = 500
BLOCKS_AT_ONCE = 100


class Moved(NamedTuple):
    machine: str
    events: int
    blocks: int


def move(source: Store, target: Store, told: Callable[[Moved], None] = lambda _: None) -> list[Moved]:
    """Copy the journals of all machines, look through the copies, and leave the originals as they are.

    Raises:
        JournalError: the target keeps one of these machines already, or a copy is not as its original. What was copied
            of that machine is to be thrown away.
    """
    there = set(target.machines()) & set(source.machines())
    if there:
        raise JournalError(
            f"{target.where} keeps a journal of {', '.join(sorted(there))} already. Name an empty place to move to."
        )
    moved = []
    for machine in source.machines():
        events = source.load(machine)
        for begin in range(0, len(events), AT_ONCE):
            target.append(machine, events[begin : begin + AT_ONCE])
        blocks = 0
        for piece in source.blocks(machine, BLOCKS_AT_ONCE):
            target.append_blocks(machine, piece)
            blocks += len(piece)
        _compare(source, target, machine)
        moved.append(Moved(machine, len(events), blocks))
        told(moved[-1])
    return moved


def _compare(source: Store, target: Store, machine: str) -> None:
    was, now = source.look_over(machine), target.look_over(machine)
    if source.load(machine) != target.load(machine) or (was.blocks, was.readings) != (now.blocks, now.readings):
        raise JournalError(f"The copy of {machine} in {target.where} is not as its original. Move it again elsewhere.")
