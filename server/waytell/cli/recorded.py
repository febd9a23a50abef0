"""The events of one lathe from a journal, for the commands that need no Waytell that runs."""

from __future__ import annotations

from pathlib import Path

import click

from waytell.documents.state import Event


def recorded(data: Path | None, machine: str | None) -> list[Event]:
    """`data` the folder that keeps the journal, None for the usual one; `machine` where it holds several lathes."""
    from waytell.journal.store import Store, data_folder, journal_file, journal_url  # noqa: PLC0415 - slow to load
    from waytell.journal.trouble import JournalError  # noqa: PLC0415

    folder = data_folder(data)
    if not journal_file(folder).exists():
        raise click.ClickException(f"There is no journal in {folder}. Name the folder that `waytell run` kept: --data.")
    try:
        store = Store(journal_url(folder))
        try:
            return store.load(_chosen(store.machines(), machine))
        finally:
            store.close()
    except JournalError as error:
        raise click.ClickException(str(error)) from error


def _chosen(machines: list[str], wanted: str | None) -> str:
    if wanted is None and len(machines) == 1:
        return machines[0]
    if wanted in machines:
        return str(wanted)
    if not machines:
        raise click.ClickException("The journal is empty: nothing was done with it yet.")
    asked = f"The journal knows no lathe called {wanted}" if wanted else "The journal holds several lathes"
    raise click.ClickException(f"{asked}. Say --machine with one of: {', '.join(machines)}.")
