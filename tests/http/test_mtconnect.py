"""A program of the workshop that reads by the open standard, at a real server and a simulated lathe."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from support.at_lathe import set_up
from support.running import Waytell, waytell
from waytell_bridge.simulated.serving import BoardServer


@pytest.fixture(scope="module")
def board() -> Iterator[BoardServer]:
    with BoardServer(seed=7) as server:
        yield server


@pytest.fixture(scope="module")
def lathe(board: BoardServer, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Waytell]:
    folder: Path = tmp_path_factory.mktemp("agent")
    with waytell("run", "--source", board.url, "--data", str(folder)) as running:
        running.wait_until_live()
        set_up(running, board)
        yield running


def read(lathe: Waytell, what: str, **asked: object) -> ET.Element:
    answer = lathe.client.get(f"/mtconnect/{what}", params={name: str(value) for name, value in asked.items()})
    assert answer.headers["content-type"].startswith("text/xml")
    root = ET.fromstring(answer.content)
    for element in root.iter():
        element.tag = element.tag.rpartition("}")[2]
    return root


def now(lathe: Waytell) -> dict[str, str]:
    """Newest values by the type of their element and the component."""
    return {
        f"{stream.get('name')} {one.tag if container.tag != 'Condition' else one.get('type')}": one.text or one.tag
        for stream in read(lathe, "current").iter("ComponentStream")
        for container in stream
        for one in container
    }


def told_in_time(lathe: Waytell, name: str, value: str) -> None:
    until_s = time.monotonic() + 10
    while now(lathe).get(name) != value:
        assert time.monotonic() < until_s, now(lathe)
        time.sleep(0.05)


def test_current_tells_where_the_tool_stands_as_the_display_does(lathe: Waytell) -> None:
    told_in_time(lathe, "Z Position", "6.0000")
    told = now(lathe)
    assert told["X Position"] == "16.0000", "a radius, in mm"
    assert told["path Execution"] == "READY"
    assert told["path PathFeedrate"] == "0.000"
    assert told["Z POSITION"] == "Normal"
    assert "AVAILABLE" in told.values()


def test_sample_follows_the_slide_without_a_gap(board: BoardServer, lathe: Waytell) -> None:
    on_from = int(str(read(lathe, "current")[0].get("nextSequence")))
    board.wind("carriage", -2.0, 2.0)
    assert board.wait(10)
    told_in_time(lathe, "Z Position", "4.0000")
    seen, sequences = [], []
    while True:
        root = read(lathe, "sample", **{"from": on_from, "count": 7})
        ones = [one for one in root.iter() if "sequence" in one.attrib]
        sequences += sorted(int(str(one.get("sequence"))) for one in ones)
        seen += [(int(str(one.get("sequence"))), float(str(one.text))) for one in root.iter("Position")]
        next_one = int(str(root[0].get("nextSequence")))
        if not ones:
            break
        assert next_one == sequences[-1] + 1
        on_from = next_one
    assert sequences == list(range(sequences[0], sequences[-1] + 1))
    places = [value for _, value in sorted(seen)]
    assert places == sorted(places, reverse=True), "the carriage went one way"
    # 2 mm at 2 mm/s, looked at ten times a second.
    assert len(places) >= 6
    assert places[-1] == pytest.approx(4.0, abs=0.005)


def test_what_is_in_doubt_is_unavailable(board: BoardServer, lathe: Waytell) -> None:
    board.fault("silence", seconds=1.5)
    told_in_time(lathe, "Z Position", "UNAVAILABLE")
    told = now(lathe)
    assert told["path Execution"] == "UNAVAILABLE"
    assert told["Z POSITION"] in ("Unavailable", "Warning")
    lathe.wait_until_live()
    told_in_time(lathe, "path Execution", "READY")


@pytest.mark.parametrize(
    ("path", "status", "code"),
    [
        ("sample?from=999999", 404, "OUT_OF_RANGE"), ("sample?count=0", 404, "OUT_OF_RANGE"),
        ("sample?from=-1", 400, "INVALID_REQUEST"), ("sample?count=many", 400, "INVALID_REQUEST"),
        ("current?at=3", 400, "UNSUPPORTED"), ("sample?interval=10", 400, "UNSUPPORTED"),
        ("asset", 404, "UNSUPPORTED"), ("nobody/current", 404, "NO_DEVICE"),
    ],
)  # fmt: skip
def test_what_cannot_be_answered_is_told_by_the_standards_codes(
    lathe: Waytell, path: str, status: int, code: str
) -> None:
    answer = lathe.client.get(f"/mtconnect/{path}")
    assert answer.status_code == status
    assert ET.fromstring(answer.content)[1][0].get("errorCode") == code


def test_one_machine_by_its_name(lathe: Waytell) -> None:
    device = read(lathe, "probe").find("Devices/Device")
    assert device is not None
    of_it = read(lathe, f"{device.get('name')}/current").find(".//DeviceStream")
    assert of_it is not None
    assert of_it.get("uuid") == device.get("uuid")
