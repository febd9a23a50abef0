r"""The line protocol between counter board and host, version 1: bytes in, messages out. No I/O, no clock.

A line is `payload*CRC\n`: printable ASCII, fields separated by one space, the first field one capital letter; CRC is
CRC-16/IBM-3740 over the payload in four upper-case hex digits. Whatever does not fit is a `Damaged` value, counted
and skipped, never an exception: reading resynchronises at the next newline. A line whose checksum holds but whose
fields do not is damaged too. Fields after the known ones, and letters not known, are for later versions: ignored.
"""

from __future__ import annotations

import re
from binascii import crc_hqx
from collections.abc import Callable
from typing import NamedTuple, TypeAlias

LONGEST_LINE = 120  # bytes with the newline; the board has no room for more
MOST_SCALES = 7
CLOCK_SPAN_US = 1 << 32


class Hello(NamedTuple):
    """`W`: what the board says of itself. Keys not sent have the default that the protocol gives them."""

    version: int
    boot: str
    model: str
    scales: int
    rate_hz: int
    firmware: str | None = None
    pulses_per_rev: int = 0
    switches: int = 0
    kept: bool = False
    max_edges_s: int | None = None
    kinds: str = ""


class Positions(NamedTuple):
    """`P`: counts of all scales, latched at `t_us`; bit i of `flags` says that scale i missed edges since start."""

    seq: int
    t_us: int
    flags: int
    counts: tuple[int, ...]


class Missed(NamedTuple):
    """`E`: total of illegal transitions of a scale since start."""

    scale: int
    total: int


class Mark(NamedTuple):
    """`M`: a reference mark was seen at `at_count`."""

    scale: int
    at_count: int
    t_us: int


class Spindle(NamedTuple):
    """`S`: time of the last pulse and the period between the last two; period 0 when the spindle stands."""

    t_us: int
    period_us: int


class Inputs(NamedTuple):
    """`I`: switch inputs, one bit each."""

    bits: int
    t_us: int


class AskHello(NamedTuple):
    """`Q`, host to board: say hello."""


class AskRate(NamedTuple):
    """`R`, host to board: report so often."""

    rate_hz: int


class Unknown(NamedTuple):
    """A sound line with a letter this version does not know."""

    letter: str


class Damaged(NamedTuple):
    """A line that cannot be trusted, with the reason in words."""

    reason: str


Message: TypeAlias = Hello | Positions | Missed | Mark | Spindle | Inputs | AskHello | AskRate | Unknown | Damaged


def encode(payload: str) -> bytes:
    r"""The line for a payload.

    >>> encode("R 500")
    b'R 500*6A60\n'

    Raises:
        ValueError: the payload is not printable ASCII without `*`, or too long for one line.
    """
    raw = payload.encode("ascii", "replace")
    line = b"%s*%04X\n" % (raw, crc_hqx(raw, 0xFFFF))
    if len(line) > LONGEST_LINE or not _PAYLOAD.fullmatch(raw) or raw.decode("ascii") != payload:
        raise ValueError(f"not a payload of this protocol: {payload!r}")
    return line


def parse_line(line: bytes) -> Message:
    """The message in one line, given without its newline."""
    if line.endswith(b"\r"):
        line = line[:-1]
    if len(line) >= LONGEST_LINE:
        return Damaged("longer than a line may be")
    # Nearly every line is a sound report, so that is tried first.
    report = _REPORT.fullmatch(line)
    if report is not None:
        payload, seq, t_us, flags, counts, crc = report.groups()
        if crc_hqx(payload, 0xFFFF) == int(crc, 16):
            return _positions(int(seq), int(t_us), int(flags, 16), tuple(map(int, counts.split())))
    return _other_line(line)


def _other_line(line: bytes) -> Message:
    """Any line but a sound report."""
    payload, star, crc = line[:-5], line[-5:-4], line[-4:]
    if star != b"*" or not payload:
        return Damaged("no checksum")
    if b"%04X" % crc_hqx(payload, 0xFFFF) != crc:
        return Damaged("checksum does not match")
    if not _PAYLOAD.fullmatch(payload):
        return Damaged("bytes that are not printable")
    letter, _, rest = payload.decode("ascii").partition(" ")
    if letter == "P":
        return Damaged("fields of P do not fit")
    parser = _PARSERS.get(letter)
    if parser is None:
        return Unknown(letter) if re.fullmatch("[A-Z]", letter) else Damaged("does not begin with a capital letter")
    try:
        return parser(rest.split(" ") if rest else [])
    except (ValueError, IndexError):
        return Damaged(f"fields of {letter} do not fit")


class LineDecoder:
    """Cuts a stream of bytes into lines and reads them; keeps at most one unfinished line."""

    def __init__(self) -> None:
        self._rest = b""

    def feed(self, data: bytes) -> list[tuple[bytes, Message]]:
        """Each line completed by `data`, as received without its newline, with its message."""
        lines = (self._rest + data if self._rest else data).split(b"\n")
        # Without a newline in sight memory must not grow. The beginning of a line too long is kept, not its tail: the
        # tail alone may be a sound line, and a log of it would then say what was never understood.
        self._rest = lines.pop()[:_KEPT]
        return [(line[:_KEPT], parse_line(line[:_KEPT])) for line in lines]


_KEPT = LONGEST_LINE + 1  # one more than fits, so that a line cut here is still known to be too long
_PAYLOAD = re.compile(rb"[\x20-\x29\x2B-\x7E]+")
# Sequence, time, flags, counts; from the first field that is no count on, it belongs to a later version.
_REPORT = re.compile(
    rb"(P ([0-9]{1,10}) ([0-9]{1,10}) ([0-9A-F]{1,8})((?: -?[0-9]{1,10}(?=[ *])){1,7})(?: [\x20-\x29\x2B-\x7E]*)?)"
    rb"\*([0-9A-F]{4})"
)
# int() alone would also take "+5", "1_000" and digits of other scripts.
_UNSIGNED = re.compile(r"[0-9]{1,10}")
_COUNT = re.compile(r"-?[0-9]{1,10}")
_HEX = re.compile(r"[0-9A-F]{1,8}")


def _unsigned(text: str, below: int) -> int:
    if not _UNSIGNED.fullmatch(text):
        raise ValueError(text)
    value = int(text)
    if value >= below:
        raise ValueError(text)
    return value


def _hex(text: str) -> int:
    if not _HEX.fullmatch(text):
        raise ValueError(text)
    return int(text, 16)


def _count(text: str) -> int:
    if not _COUNT.fullmatch(text):
        raise ValueError(text)
    value = int(text)
    if not -(1 << 31) <= value < (1 << 31):
        raise ValueError(text)
    return value


def _hello(fields: list[str]) -> Hello:
    version, boot, model, scales, rate = fields[:5]
    if not re.fullmatch(r"[0-9A-F]{8}", boot):
        raise ValueError(boot)
    keys = dict(field.split("=", 1) for field in fields[5:] if "=" in field)
    count = _unsigned(scales, MOST_SCALES + 1)
    if count == 0:
        raise ValueError(scales)
    return Hello(
        version=_unsigned(version, 1000),
        boot=boot,
        model=model,
        scales=count,
        rate_hz=_unsigned(rate, 100_000),
        firmware=keys.get("fw"),
        pulses_per_rev=_unsigned(keys.get("tach", "0"), 100_000),
        switches=_unsigned(keys.get("in", "0"), 33),
        kept=keys.get("kept", "0") == "1",
        max_edges_s=_unsigned(keys["max"], 1 << 32) if "max" in keys else None,
        kinds=keys.get("kinds", "q" * count),
    )


def _positions(seq: int, t_us: int, flags: int, counts: tuple[int, ...]) -> Positions | Damaged:
    if seq >= 1 << 16 or t_us >= CLOCK_SPAN_US or max(counts) >= 1 << 31 or min(counts) < -(1 << 31):
        return Damaged("fields of P do not fit")
    return Positions(seq, t_us, flags, counts)


def _scale(text: str) -> int:
    return _unsigned(text, MOST_SCALES)


_PARSERS: dict[str, Callable[[list[str]], Message]] = {
    "W": _hello,
    "E": lambda f: Missed(_scale(f[0]), _unsigned(f[1], 1 << 32)),
    "M": lambda f: Mark(_scale(f[0]), _count(f[1]), _unsigned(f[2], CLOCK_SPAN_US)),
    "S": lambda f: Spindle(_unsigned(f[0], CLOCK_SPAN_US), _unsigned(f[1], CLOCK_SPAN_US)),
    "I": lambda f: Inputs(_hex(f[0]), _unsigned(f[1], CLOCK_SPAN_US)),
    "Q": lambda _: AskHello(),
    "R": lambda f: AskRate(_unsigned(f[0], 100_000)),
}
