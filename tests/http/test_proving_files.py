"""What was proved, as files over the API of a real process, on a journal written before it started."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from openapi_spec_validator import validate

from export.proving_samples import DISTANCE, LINK, MAP, POSITIONING
from support.proved import proved
from support.running import Waytell, waytell
from waytell.documents.proving import ProvingNow

GREW = POSITIONING.model_copy(
    update={"quantities": tuple(one.model_copy(update={"value": 3 * one.value}) for one in POSITIONING.quantities)}
)
PROOFS = (LINK, DISTANCE, MAP, POSITIONING, GREW)


@pytest.fixture(scope="module")
def numbers() -> list[int]:
    return []


@pytest.fixture(scope="module")
def lathe(tmp_path_factory: pytest.TempPathFactory, numbers: list[int]) -> Iterator[Waytell]:
    folder = tmp_path_factory.mktemp("data")
    numbers += proved(folder, PROOFS)
    # A board is not needed to look at what was found.
    silent = str(Path(folder, "no-such-port"))
    with waytell("run", "--source", silent, "--data", str(folder)) as running:
        yield running


def test_the_document_of_the_api_describes_them(lathe: Waytell) -> None:
    document = lathe.client.get("/api/openapi.json").json()
    validate(document)
    wanted = {"/api/export/proving.html", "/api/export/proving.json", "/api/export/proving.csv"}
    assert set(document["paths"]) >= wanted


def test_the_document_is_what_the_page_is_told(lathe: Waytell, numbers: list[int]) -> None:
    answer = lathe.client.get("/api/export/proving.json").raise_for_status()
    assert answer.headers["content-disposition"] == 'attachment; filename="proving.json"'
    now = ProvingNow.model_validate_json(answer.text)
    assert now == ProvingNow.model_validate(lathe.client.get("/api/proving").json())
    assert [one.number for one in now.proofs] == numbers[::-1], "the newest first"
    assert [one.proof for one in now.proofs] == list(PROOFS)[::-1]


def test_what_drifted_is_told_with_the_newest_finding(lathe: Waytell) -> None:
    newest, before, *_ = ProvingNow.model_validate(lathe.client.get("/api/proving").json()).proofs
    assert newest.compared[0].startswith("Reversal error was 6.3 µm, now 18.9 µm: it grew.")
    assert before.compared == ()


def test_the_points_of_a_finding_come_as_a_table(lathe: Waytell, numbers: list[int]) -> None:
    answer = lathe.client.get("/api/export/proving.csv", params={"proof": numbers[2]}).raise_for_status()
    assert answer.headers["content-type"].startswith("text/csv")
    assert "\r\n" in answer.text
    rows = list(csv.DictReader(io.StringIO(answer.text, newline="")))
    for series in MAP.plots[0].series:
        told = [(float(row["at"]), float(row["value"])) for row in rows if row["series"] == series.name]
        # Digits that only a binary fraction makes are left out.
        assert told == [(round(at, 6), round(value, 6)) for at, value in series.points]
    assert {(row["plot"], row["across"], row["up"]) for row in rows} == {
        ("1", "place from the stop, mm", "deviation, µm")
    }


@pytest.mark.parametrize(("asked", "status"), [({"proof": 9999}, 404), ({"proof": 0}, 422), ({}, 422)])
def test_a_finding_that_is_not_there_is_refused_in_words(lathe: Waytell, asked: dict[str, int], status: int) -> None:
    answer = lathe.client.get("/api/export/proving.csv", params=asked)
    assert answer.status_code == status
    assert set(answer.json()) == {"error", "do"}


def test_the_sheet_brings_its_own_style_and_loads_nothing(lathe: Waytell) -> None:
    answer = lathe.client.get("/api/export/proving.html").raise_for_status()
    assert answer.headers["content-security-policy"].startswith("default-src 'none'; style-src 'unsafe-inline'")
    for words in ("invented lathe", MAP.words, DISTANCE.words, "Reversal error was 6.3 µm, now 18.9 µm"):
        assert words in answer.text
    assert "Earlier findings" in answer.text
