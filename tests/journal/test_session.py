"""A session hands its readings to the journal between the events that they lie between, and before long."""

from __future__ import annotations

import asyncio
import json
import time
from pathlib import Path

from journal.making import alike, readings
from waytell.documents.acts import ACT
from waytell.journal.store import Store, journal_url
from waytell.journal.writer import JournalWriter
from waytell.session import Session
from waytell_bridge.reading import LinkCondition, LinkReport

CONFIG = {"scales": [{"channel": 0, "slide": "cross", "resolution_um": 5.0}]}


async def settled() -> None:
    """What was delivered is taken by the loop in its next turn."""
    await asyncio.sleep(0)
    await asyncio.sleep(0)


async def test_readings_lie_between_the_events_that_they_came_between(tmp_path: Path) -> None:
    journal = JournalWriter(Store(journal_url(tmp_path)), "lathe")
    session = Session(journal, [])
    session.start()
    now_s = time.monotonic()
    before, between, after = readings(now_s, 5), readings(now_s + 0.1, 50), readings(now_s + 0.4, 7)
    session.deliver(list(before))
    await settled()
    first = await session.act(ACT.validate_python({"act": "clamp", "axis": "Z", "held": True}))
    session.deliver(list(between))
    await settled()
    second = await session.act(ACT.validate_python({"act": "clamp", "axis": "Z", "held": False}))
    session.deliver(list(after))
    await settled()
    session.stop()
    journal.close()

    store = Store(journal_url(tmp_path))
    assert alike(store.tail("lathe", 0), before + between + after)
    assert alike(store.tail("lathe", first[-1].number), between + after)
    assert alike(store.tail("lathe", second[-1].number), after)
    assert store.tail("lathe", second[-1].number + 1) == []


async def test_readings_are_handed_on_while_nothing_happens(tmp_path: Path) -> None:
    journal = JournalWriter(Store(journal_url(tmp_path)), "lathe")
    session = Session(journal, [])
    session.start()
    session.deliver(list(readings(time.monotonic(), 5)))
    until_s = time.monotonic() + 2.0
    while not Store(journal_url(tmp_path)).tail("lathe", 0):
        assert time.monotonic() < until_s, "a crash may lose two seconds, no more"
        await asyncio.sleep(0.05)
    session.stop()
    journal.close()


async def test_readings_that_are_old_when_they_come_are_told_to_come_late(tmp_path: Path) -> None:
    journal = JournalWriter(Store(journal_url(tmp_path)), "lathe")
    session = Session(journal, [])
    session.start()
    live = LinkReport(time.monotonic(), LinkCondition.LIVE, "The board is heard.", "test", True, 0, 0, 0, 250.0, 0.0)

    async def told(age_s: float) -> set[str]:
        session.deliver([live, *readings(time.monotonic() - age_s, 1)])
        await settled()
        session.latest.publish()
        return {one["words"] for one in json.loads(session.latest.text())["doubts"]}

    await session.act(ACT.validate_python({"act": "use_config", "config": CONFIG}))
    assert not {"Readings come late.", "The readings have stopped."} & await told(0.0)
    assert "Readings come late." in await told(0.2)
    await asyncio.sleep(0.3)
    session.latest.publish()
    words = {one["words"] for one in json.loads(session.latest.text())["doubts"]}
    session.stop()
    journal.close()
    assert "The readings have stopped." in words
