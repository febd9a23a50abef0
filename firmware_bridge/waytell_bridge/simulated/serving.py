"""The simulated lathe in real time: its board answers on a TCP port, or on a pseudo-terminal where there are any.

One thread owns the world and the line; everything else asks through a lock that is never held while other code is
called. Pulling the cable closes the line, and putting it back opens it at the same address. Presses and looks go
through threads of their own, so that a slow disk or display behind them never stops the slides. A host that reads too
slowly loses lines, as at a serial port without handshake.

Not simulated: the baud rate, DTR and other modem lines, the delay of a USB adapter.
"""

from __future__ import annotations

import contextlib
import threading
import time
from collections import deque
from queue import SimpleQueue
from typing import TYPE_CHECKING, Any, Literal, Self

from waytell_bridge.simulated.faults import FAULTS, UNSEEN
from waytell_bridge.simulated.lines import PtyLine, TcpLine
from waytell_bridge.simulated.settings import Settings, config_document
from waytell_bridge.simulated.world import TICK_S, Snapshot, World

if TYPE_CHECKING:
    from collections.abc import Callable

    from waytell_bridge.simulated.lines import Line
    from waytell_bridge.simulated.person import Act, Answer, Figures, Look, Person, Script, Steps
    from waytell_bridge.simulated.settings import SlideName
    from waytell_bridge.simulated.truth import TruePass

# A computer that slept is not caught up with: the slides would race. The board's clock does not wait for it.
MOST_BEHIND_S = 0.25
POLL_S = 0.002
LOOK_S = 0.02
LET_GO_S = 0.2
PRESSED_AGAIN_S = (0.3, 0.7)


class BoardServer:
    """A simulated lathe, its person and its board, served until stopped.

    `press` receives each act of the person as the JSON body that the HTTP API takes, and raises where it is refused: it
    is then pressed again for a second, as hands do, for the readings may have been late for a moment. `look` gives
    to-go and remaining-this-pass as the display shows them, None where they are doubtful. Without `look` the person
    winds by the true places. At another `pace` everything but the board's clock and its report rate runs that much
    faster.
    """

    def __init__(
        self,
        script: Script | None = None,
        settings: Settings | None = None,
        seed: int = 1,
        *,
        press: Callable[[Act], None] | None = None,
        look: Look | None = None,
        pace: float = 1.0,
        kind: Literal["tcp", "pty"] = "tcp",
        port: int = 0,
    ) -> None:
        self.settings = settings or Settings()
        self.faults: tuple[tuple[str, str], ...] = tuple(one for one in FAULTS.items() if one[0] not in UNSEEN)
        """Those to try at a page, with their meaning."""
        self.refused: list[str] = []
        """Presses that were refused for good, in the words of the refusal; the newest last."""
        self._press_act = press
        self._look = look
        self._figures: Figures = (None, None)
        self._pace = pace
        self._presses: SimpleQueue[tuple[Act, threading.Event] | None] = SimpleQueue()
        self._by_hand: deque[Callable[[Person], Steps]] = deque()
        self._idle = threading.Event()
        self._idle.set()
        self._lock = threading.Lock()
        eyes: Look | None = None if look is None else lambda: self._figures
        self._world = World(script or self._manual, self.settings, seed, press=self._press, look=eyes, pace=pace)
        self._line: Line = PtyLine() if kind == "pty" else TcpLine(port)
        self._stopping = threading.Event()
        parts = {"lathe": self._run, "presses": self._pass_on_presses, "eyes": self._keep_looking}
        if look is None:
            del parts["eyes"]
        self._threads = [
            threading.Thread(target=part, name=f"simulated {name}", daemon=True) for name, part in parts.items()
        ]

    @property
    def config(self) -> dict[str, Any]:
        """How the lathe is fitted, as the body of a configuration document."""
        return config_document(self.settings)

    @property
    def words(self) -> str:
        """What the person is doing now."""
        return self._world.person.words

    def start(self) -> str:
        """Open the line and let time run; gives the address for pyserial."""
        url = self._line.open()
        for thread in self._threads:
            thread.start()
        return url

    def stop(self) -> None:
        self._stopping.set()
        self._presses.put(None)
        lathe, *others = self._threads
        if lathe.is_alive():
            lathe.join(timeout=5.0)
        # Presses and looks may be waiting in code of the very caller of this: they end when that lets them go.
        for thread in others:
            if thread.is_alive() and thread is not threading.current_thread():
                thread.join(timeout=LET_GO_S)
        self._line.close()

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()

    @property
    def url(self) -> str:
        return self._line.url

    def fault(self, name: str, **how: Any) -> None:
        """Let something go wrong now; names and arguments as in `World.fault`."""
        with self._lock:
            self._world.fault(name, **how)

    def truth(self) -> Snapshot:
        with self._lock:
            return self._world.snapshot()

    def passes(self) -> tuple[TruePass, ...]:
        """The true passes up to now."""
        with self._lock:
            return tuple(self._world.person.passes)

    def wind(self, slide: SlideName, distance_mm: float, speed_mm_s: float) -> None:
        """Without a script: wind a slide by so much, after what was asked before. `wait` waits for it."""
        self.do(lambda person: person.wind_distance(slide, distance_mm, speed_mm_s))

    def do(self, work: Callable[[Person], Steps]) -> None:
        """Without a script: let the person do this next."""
        self._idle.clear()
        self._by_hand.append(work)

    def wait(self, timeout_s: float | None = None) -> bool:
        """Until all that was asked for is done; false when it was not in time."""
        return self._idle.wait(timeout_s)

    def _manual(self, person: Person) -> Steps:
        while True:
            if self._by_hand:
                yield from self._by_hand[0](person)
                self._by_hand.popleft()
                if not self._by_hand:
                    self._idle.set()
            yield

    def _press(self, act: Act) -> Answer:
        taken = threading.Event()
        self._presses.put((act, taken))
        return taken

    def _pass_on_presses(self) -> None:
        while (press := self._presses.get()) is not None:
            act, taken = press
            if self._press_act is not None:
                self._press_until_taken(self._press_act, act)
            taken.set()

    def _press_until_taken(self, press: Callable[[Act], None], act: Act) -> None:
        for again_s in (*PRESSED_AGAIN_S, None):
            try:
                press(act)
            except Exception as refusal:  # noqa: BLE001 - whatever refuses, the lathe goes on turning
                if again_s is not None and not self._stopping.wait(again_s):
                    continue
                self.refused.append(f"{act['act']}: {refusal}")
            return

    def _keep_looking(self) -> None:
        assert self._look is not None
        while not self._stopping.wait(LOOK_S):
            try:
                self._figures = self._look()
            except Exception:  # noqa: BLE001 - a display that breaks shows nothing
                self._figures = (None, None)

    def _run(self) -> None:
        start_s = time.monotonic()
        try:
            while not self._stopping.is_set():
                due_s = (time.monotonic() - start_s) * self._pace - self._world.t_s
                if due_s > MOST_BEHIND_S * self._pace:
                    self._world.board.leap(due_s - TICK_S)
                    start_s += (due_s - TICK_S) / self._pace
                elif due_s < TICK_S:
                    self._stopping.wait(POLL_S)
                    continue
                self._step()
        finally:
            with contextlib.suppress(OSError):
                self._line.close()

    def _step(self) -> None:
        with self._lock:
            lines = self._world.tick()
            unplugged = self._world.unplugged
        self._line.plug(plugged=not unplugged)
        if heard := self._line.exchange(b"".join(lines)):
            with self._lock:
                self._world.board.receive(heard)
