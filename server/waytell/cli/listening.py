"""Listens to a board for a while, for the commands that only want to know what is there."""

from __future__ import annotations

import time
from collections.abc import Generator

from waytell_bridge.listener import BoardListener
from waytell_bridge.reading import BoardEvent
from waytell_bridge.sources import SourceEnded, make_source


class Ear:
    """One try to hear a board. What came in all stands in `heard_bytes` and `listener.health`."""

    def __init__(self, address: str, baud: int) -> None:
        self.listener = BoardListener(address, baud)
        self.heard_bytes = 0
        self._source = make_source(address, baud)

    def events(self, seconds: float) -> Generator[BoardEvent]:
        """What the board tells within so many seconds; close it to stop sooner.

        Raises:
            SourceError: the port cannot be opened, or was lost; its words say what to do.
        """
        try:
            self._source.open()
            until_s = time.monotonic() + seconds
            heard = self.listener.opened(time.monotonic())
            while time.monotonic() < until_s:
                for line in heard.to_send:
                    self._source.write(line)
                data = self._source.read()
                self.heard_bytes += len(data)
                heard = self.listener.listen(data, time.monotonic()) if data else self.listener.tick(time.monotonic())
                yield from heard.events
        except SourceEnded:
            return
        finally:
            self._source.close()
