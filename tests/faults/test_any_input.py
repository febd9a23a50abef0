"""Whatever comes in: it is read as meant, or refused in words; it never ends the program or passes for something else.

Damaged lines, part files, wire logs, blocks of readings, broker messages and HTTP requests have such tests beside their
own; here is what else a person or a disk may hand in.
"""

from __future__ import annotations

import json
from contextlib import closing
from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from journal.making import event
from waytell.config import EXAMPLE, ConfigError, load_config
from waytell.documents.config import Config
from waytell.journal.store import Store, journal_file, journal_url
from waytell.journal.trouble import JournalError
from waytell.replay import replay
from waytell_bridge.line_pattern import PatternListener
from waytell_bridge.reading import Reading

MOST_COUNT = 1 << 31
EVENTS = 120
GOLDEN = Path(__file__).parents[1] / "golden" / "one_pass.wirelog"
in_a_folder = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def spoilt(content: bytes, data: st.DataObject) -> bytes:
    out = bytearray(content)
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(out) - 1))
        out[at : at + data.draw(st.integers(0, 30))] = data.draw(st.binary(max_size=4))
    return bytes(out)


@in_a_folder
@given(st.data())
def test_a_damaged_configuration_is_one_or_is_refused_in_words(tmp_path: Path, data: st.DataObject) -> None:
    file = tmp_path / "lathe.toml"
    file.write_bytes(spoilt(EXAMPLE.encode(), data))
    try:
        config = load_config(file)
    except ConfigError as refused:
        assert "lathe.toml" in str(refused)  # noqa: PT017 - either way is right
    else:
        assert Config.model_validate_json(config.model_dump_json()) == config


@pytest.mark.parametrize("text", ["a = " + "[" * 5000, "a = " + "9" * 5000, "\ufeff[machine", "\x00"])
def test_a_configuration_out_of_all_bounds_is_refused_in_words(tmp_path: Path, text: str) -> None:
    file = tmp_path / "lathe.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(ConfigError, match=r"lathe\.toml"):
        load_config(file)


@settings(max_examples=300, deadline=None)
@given(st.lists(st.one_of(st.binary(max_size=60), st.from_regex(rb"X-?[0-9.eE+]{0,40} Z[0-9naif.-]{1,40}\n"))))
def test_whatever_a_board_with_lines_of_its_own_prints_counts_are_counts(pieces: list[bytes]) -> None:
    listener = PatternListener("COM5", r"X(?P<c0>\S+) Z(?P<c1>\S+)", 1000.0, 115_200)
    listener.opened(0.0)
    for n, piece in enumerate(pieces):
        for told in listener.listen(piece, n * 0.01).events:
            if isinstance(told, Reading):
                assert len(told.counts) == 2
                assert all(isinstance(one, int) and -MOST_COUNT <= one < MOST_COUNT for one in told.counts)


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_a_damaged_recording_is_replayed_as_far_as_it_can_be_read(data: st.DataObject) -> None:
    lines = spoilt(GOLDEN.read_bytes(), data).decode("utf-8", "replace").splitlines(keepends=True)
    replayed = replay(lines, "spoilt")
    for one in replayed.passes:
        assert all(value == value for value in (one.start_mm, one.end_mm, one.held_mm))


@pytest.fixture(scope="module")
def journal(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A journal of many pages, closed as it should be."""
    folder = tmp_path_factory.mktemp("journal")
    store = Store(journal_url(folder))
    store.append("lathe", [event(number, "x" * 300) for number in range(1, EVENTS)])
    store.close()
    return journal_file(folder).read_bytes()


@pytest.mark.parametrize("seed", range(8))
def test_a_journal_with_any_damage_is_read_as_written_or_refused(tmp_path: Path, journal: bytes, seed: int) -> None:
    chance = Random(seed)
    whole = [json.loads(event(number, "x" * 300).model_dump_json()) for number in range(1, EVENTS)]
    for trial in range(20):
        folder = tmp_path / str(trial)
        folder.mkdir()
        content = bytearray(journal)
        for _ in range(chance.randrange(1, 7)):
            at = chance.randrange(len(content) - 40)
            put = chance.randbytes(chance.randrange(1, 40))
            content[at : at + len(put)] = put
        journal_file(folder).write_bytes(content)
        try:
            with closing(Store(journal_url(folder))) as store:
                kept = [json.loads(one.model_dump_json()) for one in store.load("lathe")]
        except JournalError as trouble:
            assert str(trouble)  # noqa: PT017 - either way is right
        else:
            assert kept in ([], whole)
