"""The wire log: what is written is read back to the byte, and a spoiled log gives all that is left of it."""

from __future__ import annotations

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bridge.feeding import golden_lines
from waytell_bridge.bridge import Recorder
from waytell_bridge.line_protocol import Positions, parse_line
from waytell_bridge.wire_log import (
    LONGEST_LINE,
    Entry,
    Unreadable,
    bounded_lines,
    escape,
    format_entry,
    read_entries,
    unescape,
)


@given(st.binary(max_size=200))
def test_any_bytes_are_written_as_printable_ascii_and_read_back(raw: bytes) -> None:
    text = escape(raw)
    assert text.isascii()
    assert text.isprintable() or not text
    assert unescape(text) == raw


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        (b"P 1 1208512 0 -3 18*62A3", "P 1 1208512 0 -3 18*62A3"),
        (b"\\", "\\\\"),
        (b"\\x41", "\\\\x41"),
        (b"\x00\r\x7f\xff", "\\x00\\x0D\\x7F\\xFF"),
        (b" two  spaces ", " two  spaces "),
        (b"", ""),
    ],
)
def test_bytes_stand_in_the_log_as_its_document_says(raw: bytes, text: str) -> None:
    assert escape(raw) == text
    assert unescape(text) == raw


@pytest.mark.parametrize(
    ("text", "raw"),
    [("\\x0", b"\\x0"), ("\\q", b"\\q"), ("end\\", b"end\\"), ("\\xff\\xFf", b"\xff\xff"), ("µ", b"\xb5"), ("→", b"?")],
)
def test_what_was_not_escaped_by_us_is_taken_as_it_stands(text: str, raw: bytes) -> None:
    assert unescape(text) == raw


marks = st.sampled_from(["<", ">"])


@given(st.lists(st.tuples(st.integers(0, 10**19), marks, st.binary(max_size=60)), max_size=20))
def test_a_log_is_read_back_entry_for_entry(said: list[tuple[int, str, bytes]]) -> None:
    text = "".join(format_entry(t_ns, mark, escape(raw)) for t_ns, mark, raw in said)  # type: ignore[arg-type]
    read = list(read_entries(io.StringIO(text)))
    assert [(one.t_ns, one.mark, unescape(one.text)) for one in read if isinstance(one, Entry)] == said
    assert len(read) == len(said)


@pytest.mark.parametrize(
    ("line", "entry"),
    [
        ("5 < Q*AB24", Entry(5, "<", "Q*AB24")),
        ("5 <  two spaces", Entry(5, "<", " two spaces")),
        ("5 < ", Entry(5, "<", "")),
        ("5 <", Entry(5, "<", "")),
        ('5 ! {"act": "seen", "note": "10 < 12"}', Entry(5, "!", '{"act": "seen", "note": "10 < 12"}')),
        ("18446744073709551615 > Q*AB24", Entry(18446744073709551615, ">", "Q*AB24")),
        ("5 < P 1 12085", Entry(5, "<", "P 1 12085")),  # cut in the middle of its line
    ],
)
def test_a_line_of_the_log_is_read(line: str, entry: Entry) -> None:
    assert list(read_entries([line + "\n"])) == [entry]
    assert list(read_entries([line])) == [entry]


@pytest.mark.parametrize(
    "line",
    ["5", "5 ", "5 ?", "5 ? text", "<", "< text", " 5 < text", "-5 < text", "5.0 < text", "+5 < text", "5  < text",
     "5 <text", "5 <<", "1234567890123456789012 < text", "٥ < text", "5\t< text", "anything at all"],
)  # fmt: skip
def test_what_is_no_entry_is_told_with_its_line_and_the_rest_goes_on(line: str) -> None:
    read = list(read_entries(["1 < a\n", "\n", line + "\n", "2 < b\n"]))
    assert read == [Entry(1, "<", "a"), Unreadable(3, line), Entry(2, "<", "b")]


def test_what_cannot_be_read_is_shown_in_part_only() -> None:
    (only,) = read_entries(["x" * 1_000_000])
    assert isinstance(only, Unreadable)
    assert len(only.text) <= 200


def test_a_byte_order_mark_and_line_ends_of_another_system_are_no_trouble() -> None:
    text = "\ufeff1 < Q*AB24\r\n2 < \r\n3 <\r\n"
    read = list(read_entries(io.StringIO(text, newline="")))
    assert [entry.mark for entry in read if isinstance(entry, Entry)] == ["<"] * 3
    assert [entry.t_ns for entry in read if isinstance(entry, Entry)] == [1, 2, 3]


def test_a_log_may_be_cut_anywhere_and_gives_all_its_whole_lines() -> None:
    whole = "".join(format_entry(n, "<", line) for n, line in enumerate(golden_lines()))
    entries = list(read_entries(io.StringIO(whole)))
    for cut in range(0, len(whole), 7):
        part = whole[:cut]
        complete = part.count("\n")
        assert list(read_entries(io.StringIO(part)))[:complete] == entries[:complete]


def test_the_recorder_writes_lines_and_acts_as_they_came() -> None:
    file = io.StringIO()
    recorder = Recorder(file)
    recorder.received(1.5, [b"P 1 1208512 0 -3 18*62A3", b"\xffnoise\r"])
    recorder.sent(1.25, [b"Q*AB24\n"])
    recorder.act(2.0, '{"act": "seen"}')
    recorder.received(2.5, [])
    assert file.getvalue().splitlines() == [
        "1500000000 < P 1 1208512 0 -3 18*62A3",
        "1500000000 < \\xFFnoise\\x0D",
        "1250000000 > Q*AB24",
        '2000000000 ! {"act": "seen"}',
    ]
    first = next(read_entries(io.StringIO(file.getvalue())))
    assert isinstance(first, Entry)
    assert parse_line(unescape(first.text)) == Positions(1, 1_208_512, 0, (-3, 18))


def test_a_recorder_that_can_write_no_longer_says_so_and_stops_nothing(caplog: pytest.LogCaptureFixture) -> None:
    file = io.StringIO()
    recorder = Recorder(file)
    recorder.act(1.0, "{}")
    assert not caplog.records
    file.close()
    recorder.act(2.0, "{}")
    recorder.act(3.0, "{}")
    assert recorder.failed is not None
    assert [record.getMessage() for record in caplog.records] == [recorder.failed]


@pytest.mark.parametrize(
    "size", [LONGEST_LINE - 1, LONGEST_LINE, LONGEST_LINE + 1, 2 * LONGEST_LINE, 3 * LONGEST_LINE + 7]
)
def test_a_line_without_end_is_cut_and_the_next_one_is_read(size: int) -> None:
    lines = list(bounded_lines(io.StringIO("1 < a\n" + "x" * size + "\n2 < b\n")))
    assert [line.rstrip("\n") for line in lines] == ["1 < a", "x" * min(size, LONGEST_LINE), "2 < b"]
