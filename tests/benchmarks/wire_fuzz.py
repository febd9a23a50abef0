"""Ten million damaged lines: how many are taken for a position that was not sent, beside the limit of the checksum.

Part 2: lines whose checksum holds by chance cannot be met often enough to be counted, so they are made: damage to the
payload with the right checksum over it. They go into a listener and an engine at a lathe that stands still. How many of
them are shown as good although they are wrong by more than a count is what plausibility leaves of one in 65 536.
"""

from __future__ import annotations

import argparse
import time
from binascii import crc_hqx
from random import Random

from benchmarks.table import print_table
from engine.lathe import configured
from support.wire_damage import WAYS, damaged
from waytell.documents.acts import ACT
from waytell.documents.state import GoodFigure
from waytell.engine.engine import Engine
from waytell.engine.live_state import Outside, build
from waytell_bridge.line_protocol import Damaged, Positions, encode, parse_line
from waytell_bridge.listener import BoardListener

LIMIT = 1 << 16
PERIOD_S = 0.004


def counted(lines: int) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    for way, kind in enumerate(WAYS):
        chance, wrong, rejected = Random(way), 0, 0
        began_s = time.process_time()
        for _ in range(lines // len(WAYS)):
            line, spoilt = damaged(chance, way)
            message = parse_line(spoilt)
            if isinstance(message, Damaged):
                rejected += 1
            elif isinstance(message, Positions) and message != parse_line(line):
                wrong += 1
        many = lines // len(WAYS)
        rows.append((
            kind.__name__.replace("_", " "), str(many), str(rejected), str(wrong), f"{many / LIMIT:.1f}",
            f"{(time.process_time() - began_s) / many * 1e6:.1f}",
        ))  # fmt: skip
    return rows


class AtRest:
    """A lathe that stands still and has been touched off, heard by a real listener."""

    def __init__(self) -> None:
        self.engine, self.listener = Engine(), BoardListener("fuzz")
        self.t_s, self.seq = 1.0, 0
        self.act("use_config", config=configured().model_dump(mode="json"))
        for event in self.listener.opened(self.t_s).events:
            self.engine.feed(event)
        self.hear(encode("W 1 000000A1 test 2 250"))
        self.rest(10)
        for axis in ("X", "Z"):
            self.act("touch_off", axis=axis, at_mm=10.0)
        if len(self.good_mm()) != 2:
            raise SystemExit("the lathe of this benchmark shows no good figures")

    def act(self, name: str, **fields: object) -> None:
        self.engine.act(ACT.validate_python({"act": name} | fields), self.t_s)

    def hear(self, line: bytes) -> None:
        for event in self.listener.listen(line, self.t_s).events:
            self.engine.feed(event)

    def payload(self) -> str:
        self.t_s, self.seq = self.t_s + PERIOD_S, (self.seq + 1) & 0xFFFF
        return f"P {self.seq} {round(self.t_s * 1e6)} 0 1200 -3400"

    def rest(self, reports: int) -> None:
        for _ in range(reports):
            self.hear(encode(self.payload()))

    def good_mm(self) -> list[float]:
        state = build(self.engine, Outside("lathe", 1, None, None))
        return [one.position.value_mm for one in state.axes if isinstance(one.position, GoodFigure)]

    def wrong_mm(self) -> float:
        """How far a figure that is shown as good is off."""
        return max((abs(value - 10.0) for value in self.good_mm()), default=0.0)


def with_right_checksum(payload: bytes) -> bytes:
    return b"%s*%04X" % (payload, crc_hqx(payload, 0xFFFF))


def plausible(trials: int) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    for way, kind in enumerate(WAYS):
        chance, lathe = Random(100 + way), AtRest()
        fits = shown = longest = 0
        worst_mm = 0.0
        for _ in range(trials):
            payload = lathe.payload().encode()
            spoilt = payload
            while spoilt == payload or b"\n" in spoilt:
                spoilt = WAYS[way](chance, payload, lathe.payload().encode())
            line = with_right_checksum(spoilt)
            if not isinstance(parse_line(line), Positions):
                continue
            fits += 1
            lathe.hear(line + b"\n")
            off_mm = lathe.wrong_mm()
            shown += off_mm > 0.0051
            reports = 0
            while off_mm > 0.0051:
                worst_mm, reports = max(worst_mm, off_mm), reports + 1
                lathe.rest(1)
                off_mm = lathe.wrong_mm()
            longest = max(longest, reports)
            lathe = AtRest()
        rows.append((
            kind.__name__.replace("_", " "), str(trials), f"{fits / trials:.3f}", f"{shown / trials:.4f}",
            f"{worst_mm:.2f} mm", str(longest), "none" if shown == 0 else f"1 in {LIMIT * trials / shown:.1e}",
        ))  # fmt: skip
    return rows


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--lines", type=int, default=10_000_000)
    ask.add_argument("--trials", type=int, default=1000)
    asked = ask.parse_args()
    print_table(
        f"{asked.lines} damaged lines; the limit is that of a checksum of 16 bits: one in {LIMIT} may pass",
        ("damage", "lines", "told as damaged", "taken wrongly", "limit", "us a line, making it included"),
        counted(asked.lines),
    )
    print_table(
        "Damaged payloads under a right checksum: what plausibility leaves",
        ("damage", "lines", "fields fit", "shown as good and wrong", "at most by", "for reports", "of damaged lines"),
        plausible(asked.trials),
    )


if __name__ == "__main__":
    main()
