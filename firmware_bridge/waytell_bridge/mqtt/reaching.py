"""Reaching the broker, again and again: the same at both ends of its way."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Awaitable, Callable

import aiomqtt

FIRST_WAIT_S, LONGEST_WAIT_S = 0.2, 2.0


async def reach_for_ever(connected: Callable[[], Awaitable[None]], lost: Callable[[str], None]) -> None:
    """Until cancelled. `connected` makes one connection and lasts as long as it; `lost` is told why it ended.

    Raises:
        ValueError: the broker's address leads nowhere that could be tried.
    """
    wait_s = FIRST_WAIT_S
    while True:
        began_s = time.monotonic()
        try:
            # In a task of its own: what a group of tasks inside leaves behind must not look like our own end.
            await asyncio.ensure_future(connected())
        except aiomqtt.MqttError as error:
            lost(f"is not reached: {error}.")
        except ExceptionGroup as group:
            of_the_broker, other = group.split(aiomqtt.MqttError)
            if other is not None:
                raise other from None
            lost(f"is gone: {_first(of_the_broker)}.")
        end_if_told()
        wait_s = FIRST_WAIT_S if time.monotonic() - began_s > LONGEST_WAIT_S else min(wait_s * 2, LONGEST_WAIT_S)
        await asyncio.sleep(wait_s)


def end_if_told() -> None:
    """Ends a task that was told to end where that was lost on the way.

    A group of tasks of which one fails while all are cancelled tells of the failure alone; and `asyncio.wait_for`, in
    which aiomqtt waits, forgets a cancellation that comes in the same turn as the answer (Python 3.11).

    Raises:
        asyncio.CancelledError: it was told to end.
    """
    task = asyncio.current_task()
    if task is not None and task.cancelling():
        raise asyncio.CancelledError


def _first(group: BaseExceptionGroup[BaseException] | None) -> BaseException | None:
    """The first of what went wrong that is not a group itself."""
    inner: BaseException | None = group
    while isinstance(inner, BaseExceptionGroup):
        inner = inner.exceptions[0]
    return inner
