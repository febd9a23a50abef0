"""Puts a workshop's parts together: broker, machines and server, and takes them down again in order."""

from __future__ import annotations

import asyncio
import webbrowser

from waytell.http.overview import workshop_pages
from waytell.http.serving import made_server, run_server
from waytell.journal.store import data_folder
from waytell.opening import Place, opened, tell_where
from waytell.workshop import Workshop, kept_machines
from waytell_bridge.mqtt.address import Broker
from waytell_bridge.mqtt.messages import topic


def serve_workshop(broker: Broker, machines: tuple[str, ...], place: Place, *, only: bool) -> None:
    """Serve until told to stop.

    Raises:
        CannotListen, JournalError: with what to do.
        ValueError: the name of a machine, or the broker's address, is none.
    """
    for name in machines:
        topic(name, "ask")
    asyncio.run(_serve(broker, machines, place, only=only))


async def _serve(broker: Broker, machines: tuple[str, ...], place: Place, *, only: bool) -> None:
    folder = data_folder(place.data)
    known = machines if only else tuple(dict.fromkeys((*machines, *kept_machines(folder))))
    workshop = Workshop(broker, folder, known, place.journal, only=only)
    opening = opened(place, folder)
    with opening.listener:
        listening = asyncio.create_task(workshop.run(), name="workshop")
        serving = asyncio.create_task(
            run_server(made_server(workshop_pages(workshop), opening), opening), name="server"
        )
        tell_where(opening, "the workshop")
        if place.browser:
            asyncio.get_running_loop().run_in_executor(None, webbrowser.open, opening.url)
        try:
            done, _ = await asyncio.wait({listening, serving}, return_when=asyncio.FIRST_COMPLETED)
            for task in done:
                task.result()
        finally:
            listening.cancel()
            await asyncio.gather(listening, return_exceptions=True)
            serving.cancel()
            await asyncio.gather(serving, return_exceptions=True)
