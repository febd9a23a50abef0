"""`waytell journal`: copy the journal, put a copy back, look through it, make it smaller."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from waytell.journal.checking import Looked, MachineKept
    from waytell.journal.store import Store

_data = click.option("--data", type=click.Path(path_type=Path), help="Folder that keeps the journal.")


@click.group()
def journal() -> None:
    """Copy the journal, put a copy back, look through it, or make it smaller.

    The journal keeps what happened at the lathe (acts, passes, alarms) and every reading. Events are never taken out
    of it; of the readings the newest 2 GB of each lathe stay.
    """


@journal.command()
@click.argument("file", type=click.Path(path_type=Path))
@_data
def backup(file: Path, data: Path | None) -> None:
    """Copy the journal to a new FILE; Waytell may go on working meanwhile."""
    from waytell.journal.backup import back_up  # noqa: PLC0415 - slow to load, wanted here only

    with _in_words():
        back_up(_present(data), file)
    click.echo(f"Wrote {file}. To put it back: waytell journal restore {file}")


@journal.command()
@click.argument("file", type=click.Path(path_type=Path))
@_data
def restore(file: Path, data: Path | None) -> None:
    """Put the backup FILE in the journal's place; the old journal is moved aside. Stop Waytell first."""
    from waytell.journal import backup as copies  # noqa: PLC0415
    from waytell.journal.store import data_folder, journal_file  # noqa: PLC0415

    with _in_words():
        to = journal_file(data_folder(data))
        aside = copies.restore(file, to)
    click.echo(f"{to} is now a copy of {file}." + (f" The old journal is {aside}." if aside is not None else ""))


@journal.command()
@_data
def check(data: Path | None) -> None:
    """Look through the whole journal: what is in it, and whether all is as it was written. Exit code 1 if not."""
    from waytell.journal.checking import look_through  # noqa: PLC0415

    looked = look_through(_present(data))
    for line in _in_lines(looked):
        click.echo(line)
    if looked.faults:
        raise click.ClickException(
            "The journal is damaged:\n" + "\n".join(f"  {fault}" for fault in looked.faults) + "\nKeep the file. "
            "Stop Waytell and put a backup in its place with waytell journal restore, or move it away to begin anew."
        )
    click.echo("All is as it was written.")


@journal.command()
@click.option("--older-than", type=click.FloatRange(min=0), metavar="DAYS", help="Take out what is older.")
@click.option("--larger-than", type=click.FloatRange(min=0), metavar="MB", help="Take out the oldest beyond this size.")
@_data
def prune(older_than: float | None, larger_than: float | None, data: Path | None) -> None:
    """Take the oldest readings out of the journal, of each lathe; events are never taken out."""
    from waytell.journal.store import Store  # noqa: PLC0415
    from waytell.journal.traces import Pruning  # noqa: PLC0415

    if older_than is None and larger_than is None:
        raise click.UsageError("Say --older-than DAYS, --larger-than MB, or both.")
    before = None if older_than is None else datetime.now(UTC) - timedelta(days=older_than)
    what = Pruning(
        before.isoformat() if before is not None else None, None if larger_than is None else round(larger_than * 1e6)
    )
    file = _present(data)
    with _in_words():
        store = Store(f"sqlite:///{file.as_posix()}")
        try:
            blocks = sum(store.prune(machine, what) for machine in store.machines())
        finally:
            store.close()
    click.echo(f"Took out {blocks} blocks of readings. {_room_given_back(file)}")


@journal.command()
@click.argument("source", metavar="FROM")
@click.argument("target", metavar="TO")
def move(source: str, target: str) -> None:
    """Copy all journals FROM one place TO another, each a data folder or the address of a database.

    The copies are looked through, and the originals stay as they are. A password belongs into PGPASSWORD or a
    password file, not into an address.
    """
    from waytell.journal.moving import Moved, move  # noqa: PLC0415

    def tell(moved: Moved) -> None:
        click.echo(f"{moved.machine}: {moved.events} events and {moved.blocks} blocks of readings copied and compared.")

    with _in_words():
        old, new = _place(source, there=True), _place(target, there=False)
        try:
            moved = move(old, new, tell)
        finally:
            old.close()
            new.close()
    click.echo(
        f"{target} keeps {len(moved)} {'machine' if len(moved) == 1 else 'machines'} now; {source} is as it was."
    )


def _place(named: str, *, there: bool) -> Store:
    """A data folder or a database."""
    from waytell.journal.store import Store, journal_file, journal_url  # noqa: PLC0415

    if "://" in named:
        return Store(named)
    if there and not journal_file(Path(named)).exists():
        raise click.ClickException(f"There is no journal in the folder {named}.")
    if not there:
        Path(named).mkdir(parents=True, exist_ok=True)
    return Store(journal_url(Path(named)))


def _room_given_back(file: Path) -> str:
    import sqlite3  # noqa: PLC0415

    from waytell.journal import sqlite_file  # noqa: PLC0415

    if sqlite_file.in_use(file):
        return "Waytell works with the journal and fills the room anew; prune while it is stopped to shrink the file."
    try:
        sqlite_file.give_back_room(file)
    except sqlite3.Error as error:
        return f"The file is as large as before ({error}); its room is filled anew."
    return f"The file has {_size(file.stat().st_size)} now."


def _present(data: Path | None) -> Path:
    from waytell.journal.store import data_folder, journal_file  # noqa: PLC0415

    file = journal_file(data_folder(data))
    if not file.exists():
        raise click.ClickException(f"There is no journal {file}. Name the folder that waytell run kept it in: --data.")
    return file


@contextmanager
def _in_words() -> Iterator[None]:
    from waytell.journal.trouble import JournalError  # noqa: PLC0415

    try:
        yield
    except JournalError as error:
        raise click.ClickException(str(error)) from error


def _in_lines(looked: Looked) -> Iterator[str]:
    yield f"{looked.file}: {_size(looked.bytes)}"
    for one in looked.machines:
        yield f"  {one.machine}: {one.events} events, {one.passes} of them passes; {_traces(one)}"


def _traces(one: MachineKept) -> str:
    kept = one.traces
    if kept is None or not kept.blocks:
        return "no readings"
    return f"{kept.readings} readings in {_size(kept.bytes)}, from {kept.since_wall} to {kept.until_wall}"


def _size(size_bytes: int) -> str:
    return f"{size_bytes / 1e6:.1f} MB"
