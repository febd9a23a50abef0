"""Memory over a simulated 24 hours of work without a pause: is it flat?

One simulated bush after the other, at 250 readings a second, through the engine and what a session keeps of it. The
clock of the readings is moved on for each, so that a day goes by. What grows is the history: that of the day's passes,
which is told apart.
"""

from __future__ import annotations

import gc
import time
from pathlib import Path

from benchmarks.stock_cost import events
from benchmarks.table import print_table
from waytell.documents.acts import ACT
from waytell.engine.engine import Engine
from waytell_bridge.reading import BoardEvent, Reading

DAY_S = 24 * 3600.0
LOOKS = 6


def later(item: BoardEvent, by_s: float) -> BoardEvent:
    moved = item._replace(t_s=item.t_s + by_s)
    return moved._replace(board_s=moved.board_s + by_s) if isinstance(moved, Reading) else moved


def main() -> None:
    items = events()
    readings = [item for item in items if isinstance(item, Reading)]
    bush_s = readings[-1].t_s - readings[0].t_s + 5.0
    engine, gone_s, done, passes = Engine(), 0.0, 0, 0
    rows: list[tuple[str, ...]] = []
    start_s = time.process_time()
    while gone_s < DAY_S:
        for item in items:
            if isinstance(item, str):
                engine.act(ACT.validate_json(item), engine.t_s)
            else:
                passes += sum(one.kind == "pass_finished" for one in engine.feed(later(item, gone_s)))
        gone_s, done = gone_s + bush_s, done + len(readings)
        if gone_s >= DAY_S * (len(rows) + 1) / LOOKS:
            gc.collect()
            rows.append((f"{gone_s / 3600:.0f} h", f"{done / 1e6:.1f} M", str(passes), f"{resident_mb():.1f} MB",
                         f"{history_mb(engine):.1f} MB"))  # fmt: skip
    print_table(
        f"Memory over a day of work without a pause ({time.process_time() - start_s:.0f} s of processor)",
        ("after", "readings", "passes", "the process, resident", "text of the history in it"), rows,
    )  # fmt: skip


def resident_mb() -> float:
    return int(Path("/proc/self/statm").read_text().split()[1]) * 4096 / 1e6


def history_mb(engine: Engine) -> float:
    return sum(len(one.words) + len(repr(one.body)) for one in engine.history) / 1e6


if __name__ == "__main__":
    main()
