"""Passes in detail, parts and files over the API of a real process, on a journal written before it started."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from openapi_spec_validator import validate

from review.work import AFTER, BEFORE, PASS, TURNED, Journal
from support.running import Waytell, waytell
from waytell.documents.review import Parts, PassReview, WorkRecord
from waytell.journal.store import Store, journal_url

FACED = [[0.1 * n, 12.0 - 0.06 * n, -0.02 * (1 - n / 200)] for n in range(201)]
TURNED_AT_9 = [[0.1 * n, 9.0, -0.15 * n] for n in range(201)]


def invented() -> Journal:
    """One bush, faced and turned, its size measured; then a pass in doubt and one of an old journal."""
    journal = Journal()
    journal.passed(PASS, samples=FACED, outline_before=BEFORE, outline_after=BEFORE, cutting_distance_m=20.0)
    journal.passed(TURNED, samples=TURNED_AT_9, outline_before=BEFORE, outline_after=AFTER)
    journal.measured(8.991)
    journal.act("part_done", part="bush")
    journal.passed(TURNED, doubts=["missed_edges"], samples=TURNED_AT_9, outline_before=BEFORE, outline_after=AFTER)
    journal.passed(TURNED)
    return journal


@pytest.fixture(scope="module")
def lathe(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Waytell]:
    folder = tmp_path_factory.mktemp("data")
    store = Store(journal_url(folder))
    store.append("lathe", invented().events)
    store.close()
    # A board is not needed to look at what was done.
    silent = str(Path(folder, "no-such-port"))
    with waytell("run", "--source", silent, "--data", str(folder)) as running:
        yield running


def test_the_document_of_the_api_describes_what_is_new(lathe: Waytell) -> None:
    document = lathe.client.get("/api/openapi.json").json()
    validate(document)
    wanted = {"/api/passes/{number}", "/api/parts", "/api/traces", "/api/export/passes.csv", "/api/export/record.json",
              "/api/export/section.dxf", "/api/export/report.html"}  # fmt: skip
    assert set(document["paths"]) >= wanted
    assert "WorkRecord" in document["components"]["schemas"]


def test_a_pass_comes_with_samples_outlines_and_its_shape_in_words(lathe: Waytell) -> None:
    found = PassReview.model_validate(lathe.client.get("/api/passes/1").raise_for_status().json())
    assert len(found.samples) == 201
    assert found.shape is not None
    # Z rises by 0.02 mm from the rim inwards: the centre stands out.
    assert found.words.startswith("Convex by 0.020 mm")
    assert [list(corner) for corner in found.outline_before] == BEFORE


def test_a_pass_of_an_old_journal_comes_without_samples(lathe: Waytell) -> None:
    found = lathe.client.get("/api/passes/4").raise_for_status().json()
    assert (found["samples"], found["shape"]) == ([], None)


@pytest.mark.parametrize(
    "path", ["/api/passes/99", "/api/export/section.dxf?pass=99", "/api/export/samples.csv?pass=99"]
)
def test_a_pass_that_is_none_is_refused_in_words(lathe: Waytell, path: str) -> None:
    answer = lathe.client.get(path)
    assert answer.status_code == 404
    assert answer.json() == {"error": "There is no pass 99.", "do": "Passes 1 to 4 were taken."}


def test_a_pass_number_that_is_none_is_refused_in_words(lathe: Waytell) -> None:
    answer = lathe.client.get("/api/export/section.dxf", params={"pass": "many"})
    assert answer.status_code == 422
    assert answer.json()["do"]


def test_parts_come_with_sizes_statistics_and_edges(lathe: Waytell) -> None:
    found = Parts.model_validate(lathe.client.get("/api/parts").raise_for_status().json())
    assert [(part.number, part.done, part.doubtful) for part in found.parts] == [(1, True, 0), (2, False, 1)]
    assert found.batches[0].statistics[0].words == "One part: no spread can be told yet."
    assert found.edges[0].distance_m == 20.0
    assert found.edges[0].untold == 3


def test_traces_are_short_and_only_the_new_ones_come(lathe: Waytell) -> None:
    every = lathe.client.get("/api/traces").json()["traces"]
    assert [one["number"] for one in every] == [1, 2, 3, 4]
    assert len(every[0]["creep_um"]) == 32
    assert every[0]["creep_um"][-1] == pytest.approx(20.0, abs=0.5)
    assert [one["number"] for one in lathe.client.get("/api/traces", params={"after": 3}).json()["traces"]] == [4]


def test_passes_carry_the_part_they_belong_to(lathe: Waytell) -> None:
    assert [one["part"] for one in lathe.passes()] == [1, 1, 2, 2]


def test_files_come_by_name_in_their_kind(lathe: Waytell) -> None:
    for path, kind, name in (
        ("passes.csv", "text/csv", "passes.csv"),
        ("sizes.csv", "text/csv", "sizes.csv"),
        ("samples.csv?pass=2", "text/csv", "pass-2.csv"),
        ("record.json", "application/json", "record.json"),
        ("section.dxf", "image/vnd.dxf", "section-3.dxf"),
        ("section.dxf?pass=2", "image/vnd.dxf", "section-2.dxf"),
    ):
        answer = lathe.client.get(f"/api/export/{path}").raise_for_status()
        assert answer.headers["content-type"].startswith(kind)
        assert f'filename="{name}"' in answer.headers["content-disposition"]
    rows = list(csv.DictReader(io.StringIO(lathe.client.get("/api/export/passes.csv").text, newline="")))
    assert [row["number"] for row in rows] == ["1", "2", "3", "4"]
    record = WorkRecord.model_validate_json(lathe.client.get("/api/export/record.json").text)
    assert [review.passed.number for review in record.passes] == [1, 2, 3, 4]
    assert record.passes[2].doubted[0].code == "missed_edges"


def test_the_report_may_use_its_own_style_and_load_nothing(lathe: Waytell) -> None:
    answer = lathe.client.get("/api/export/report.html", params={"part": 1}).raise_for_status()
    policy = answer.headers["content-security-policy"]
    assert policy.startswith("default-src 'none'; style-src 'unsafe-inline'")
    assert "Convex by 0.020 mm" in answer.text
    assert lathe.client.get("/api/export/report.html", params={"part": 7}).json()["error"] == "There is no part 7."


def test_the_page_comes_with_the_strict_policy(lathe: Waytell) -> None:
    page = lathe.client.get("/review")
    assert page.status_code == 200
    assert "default-src 'self'" in page.headers["content-security-policy"]
