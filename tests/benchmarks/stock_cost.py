"""Cost of knowing the work: the engine with the stock on, against shapely taking off the same metal.

A simulated bush is faced and turned at 250 Hz. Shapely (a general library of plane geometry) does per reading what
the stock model is for: the tool's outline swept between two readings, taken off the half section. Aims: 25
microseconds a reading for the whole engine, and 20 times faster than that.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from itertools import pairwise

from shapely.geometry import MultiPoint, box
from shapely.geometry.base import BaseGeometry

from benchmarks.table import print_table
from waytell.documents.acts import ACT
from waytell.documents.config import Tool
from waytell.engine.engine import Engine
from waytell.engine.section import Section
from waytell.engine.tool_shape import edge_of
from waytell_bridge.listener import BoardListener
from waytell_bridge.reading import BoardEvent, Reading
from waytell_bridge.simulated.recording import record
from waytell_bridge.simulated.settings import Settings
from waytell_bridge.simulated.short_scripts import SCRIPTS
from waytell_bridge.wire_log import Entry, read_entries, unescape

FAR_MM = 200.0


def events() -> list[BoardEvent | str]:
    listener, items = BoardListener("benchmark"), list[BoardEvent | str]()
    for entry in read_entries(record(SCRIPTS["one_bush"], Settings(), 1).lines):
        assert isinstance(entry, Entry)
        if entry.mark == "<":
            items += listener.listen(unescape(entry.text) + b"\n", entry.t_ns * 1e-9).events
        elif entry.mark == "!":
            items.append(entry.text)
    return items


def run(items: list[BoardEvent | str], each: Callable[[Engine], None] = lambda _: None) -> float:
    """Seconds of processor for all; `each` is called after every reading."""
    engine, start_s = Engine(), time.process_time()
    for item in items:
        if isinstance(item, str):
            engine.act(ACT.validate_json(item), engine.t_s)
        else:
            engine.feed(item)
            if isinstance(item, Reading):
                each(engine)
    return time.process_time() - start_s


def path_of(items: list[BoardEvent | str]) -> list[tuple[float, float]]:
    """Where the tool's corner was at each reading that found the work tied to coordinates."""
    places: list[tuple[float, float]] = []
    run(items, lambda engine: places.append((engine.place.x_mm, engine.place.z_mm)) if engine.section else None)
    return places


def by_shapely(places: list[tuple[float, float]]) -> BaseGeometry:
    work: BaseGeometry = box(-40.0, 0.0, 0.5, 12.0)
    for (x0, z0), (x1, z1) in pairwise(places):
        if (x0, z0) == (x1, z1):
            continue
        shape = ((0.0, 0.0), (FAR_MM, 0.123 * FAR_MM), (FAR_MM, FAR_MM), (0.0, FAR_MM))
        work = work.difference(
            MultiPoint([(z + a, x + b) for x, z in ((x0, z0), (x1, z1)) for a, b in shape]).convex_hull
        )
    return work


def by_section(places: list[tuple[float, float]]) -> Section:
    section, edge = Section.bar(12.0, 40.5, 0.5), edge_of(Tool(name="plain"), "turning")
    for before, here in pairwise(places):
        if before != here:
            section = section.cut((before, here), edge)
    return section


def timed(work: Callable[[], object]) -> float:
    start_s = time.process_time()
    work()
    return time.process_time() - start_s


def main() -> None:
    items = events()
    readings = sum(isinstance(item, Reading) for item in items)
    places = path_of(items)
    moved = sum(a != b for a, b in pairwise(places))
    engine_us = min(run(items) for _ in range(3)) / readings * 1e6
    section_us = timed(lambda: by_section(places)) / moved * 1e6
    shapely_us = timed(lambda: by_shapely(places)) / moved * 1e6
    rows = [
        ("whole engine, a reading", f"{engine_us:.1f} us", "25 us", f"{shapely_us / engine_us:.0f} (aim 20)"),
        ("stock model alone, a move swept off", f"{section_us:.1f} us", "-", f"{shapely_us / section_us:.0f}"),
        ("shapely, the same move (reference)", f"{shapely_us:.0f} us", "-", "1"),
    ]
    print_table(
        f"Cost of knowing the work, {readings} readings, {moved} moves of one simulated bush",
        ("step", "cost", "aim", "times faster than shapely"), rows,
    )  # fmt: skip


if __name__ == "__main__":
    main()
