"""The loop that reaches for the broker: it ends when it is told to, whatever goes wrong at that moment."""

from __future__ import annotations

import asyncio

import aiomqtt
import pytest

from waytell_bridge.mqtt.reaching import reach_for_ever


async def _fails_when_cancelled() -> None:
    try:
        await asyncio.sleep(60)
    except asyncio.CancelledError:
        raise aiomqtt.MqttError("the last word could not be sent") from None


@pytest.mark.asyncio
async def test_it_ends_though_a_part_of_it_fails_at_that_moment() -> None:
    lost: list[str] = []

    async def connected() -> None:
        assert not lost, "it goes on"
        async with asyncio.TaskGroup() as tasks:
            tasks.create_task(_fails_when_cancelled())

    reaching = asyncio.create_task(reach_for_ever(connected, lost.append))
    await asyncio.sleep(0.05)
    reaching.cancel()
    with pytest.raises(asyncio.CancelledError):
        await asyncio.wait_for(reaching, 1)
    assert reaching.cancelled()


@pytest.mark.asyncio
async def test_it_reaches_again_and_tells_why() -> None:
    lost: list[str] = []
    times = 0

    async def connected() -> None:
        nonlocal times
        times += 1
        await asyncio.sleep(0)
        raise aiomqtt.MqttError("no answer")

    reaching = asyncio.create_task(reach_for_ever(connected, lost.append))
    await asyncio.sleep(1.0)
    reaching.cancel()
    assert times >= 2
    assert lost[0] == "is not reached: no answer."


@pytest.mark.asyncio
async def test_another_fault_is_not_taken_for_the_brokers() -> None:
    async def connected() -> None:
        async with asyncio.TaskGroup() as tasks:
            tasks.create_task(_wrong())

    with pytest.raises(ExceptionGroup):
        await asyncio.wait_for(reach_for_ever(connected, lambda _: None), 1)


async def _wrong() -> None:
    await asyncio.sleep(0)
    raise KeyError
