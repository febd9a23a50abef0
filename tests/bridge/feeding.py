"""Bytes as a wire may bring them: whole, one by one, cut at every place."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from waytell_bridge.line_protocol import LineDecoder, Message, encode

GOLDEN = Path(__file__).parent.parent / "golden" / "board_lines.txt"


def golden_lines() -> list[str]:
    text = GOLDEN.read_text(encoding="ascii")
    return [line for line in text.splitlines() if line and not line.startswith("#")]


def ways_to_come(data: bytes) -> Iterator[list[bytes]]:
    yield [data]
    yield [data[i : i + 1] for i in range(len(data))]
    yield from ([data[:i], data[i:]] for i in range(len(data) + 1))


def decoded(chunks: list[bytes]) -> list[tuple[bytes, Message]]:
    decoder = LineDecoder()
    return [heard for chunk in chunks for heard in decoder.feed(chunk)]


def messages(chunks: list[bytes]) -> list[Message]:
    return [message for _, message in decoded(chunks)]


def position_line(seq: int, t_us: int, *counts: int, flags: int = 0) -> bytes:
    return encode(f"P {seq % 65536} {t_us % (1 << 32)} {flags:X} {' '.join(map(str, counts))}")


def hello_line(boot: str = "5E0A91C3", scales: int = 2, *, kept: int = 0) -> bytes:
    return encode(f"W 1 {boot} m328p {scales} 250 fw=1.0.0 tach=1 in=2 kept={kept} max=120000")
