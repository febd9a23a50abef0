"""The Review page and what it shows: passes in detail, parts and batches, and files to take away."""

from __future__ import annotations

from collections.abc import Callable
from http import HTTPStatus

from flask import Response
from flask_openapi3.models.tag import Tag
from flask_openapi3.openapi import OpenAPI
from pydantic import BaseModel, Field

from waytell.documents.review import Parts, PassReview, Traces, WorkRecord
from waytell.export.missing import Missing
from waytell.export.section_choice import review_by_number, section_after
from waytell.http.answers import Loop, Refusal, file_answer, json_answer, now_label, printed_page, refuse
from waytell.http.page_files import page_file
from waytell.review.batches import parts_of
from waytell.review.passes import trace_of
from waytell.review.record import Record, read
from waytell.session import Session

STATE = [Tag(name="state", description="What is")]
EXPORT = [Tag(name="export", description="Files to take away")]


class PassPath(BaseModel):
    number: int = Field(ge=1)
    """Number of the pass."""


class WhichPass(BaseModel):
    model_config = {"populate_by_name": True}
    number: int | None = Field(None, alias="pass", ge=1)
    """Number of the pass; the newest one whose outline is known where none is given."""


class SamplesOf(BaseModel):
    model_config = {"populate_by_name": True}
    number: int = Field(alias="pass", ge=1)
    """Number of the pass."""


class WhichPart(BaseModel):
    part: int | None = Field(None, ge=1)
    """Number of the part; all where none is given."""


class TracesAfter(BaseModel):
    after: int = Field(0, ge=0)
    """Only passes after this number."""


def add_review(app: OpenAPI, session: Session, inside: Loop) -> None:
    def record() -> Record:
        # Only the list is copied on the loop; reading it is done in the request's thread.
        return read(inside.call(session.events))

    @app.route("/review")
    def review_page() -> Response:
        return page_file("review.html")

    _add_documents(app, record)
    _add_tables(app, record)
    _add_files(app, record)


def _add_documents(app: OpenAPI, record: Callable[[], Record]) -> None:
    @app.get("/api/passes/<int:number>", tags=STATE, summary="One pass with its samples, outlines and shape",
             responses={200: PassReview, 404: Refusal})  # fmt: skip
    def one_pass(path: PassPath) -> Response:
        return _or_missing(lambda: json_answer(review_by_number(record(), path.number).model_dump_json()))

    @app.get("/api/traces", tags=STATE, summary="The held axis over each pass, in short", responses={200: Traces})
    def traces(query: TracesAfter) -> Response:
        now = record()
        found = tuple(trace_of(now, passed) for passed in now.passes if passed.number > query.after)
        return json_answer(Traces(traces=found).model_dump_json())

    @app.get("/api/parts", tags=STATE, summary="Parts, batches and edges with their figures", responses={200: Parts})
    def parts() -> Response:
        return json_answer(parts_of(record()).model_dump_json())


def _add_tables(app: OpenAPI, record: Callable[[], Record]) -> None:
    from waytell.export import tables  # noqa: PLC0415

    @app.get("/api/export/passes.csv", tags=EXPORT, summary="All passes as a table", responses={200: None})
    def passes_csv() -> Response:
        return file_answer(tables.passes_table(record()), "text/csv; header=present", "passes.csv")

    @app.get("/api/export/sizes.csv", tags=EXPORT, summary="All measured sizes as a table", responses={200: None})
    def sizes_csv() -> Response:
        return file_answer(tables.sizes_table(record()), "text/csv; header=present", "sizes.csv")

    @app.get("/api/export/samples.csv", tags=EXPORT, summary="The samples of one pass as a table",
             responses={200: None, 404: Refusal})  # fmt: skip
    def samples_csv(query: SamplesOf) -> Response:
        def table() -> Response:
            text = tables.samples_table(review_by_number(record(), query.number))
            return file_answer(text, "text/csv; header=present", f"pass-{query.number}.csv")

        return _or_missing(table)


def _add_files(app: OpenAPI, record: Callable[[], Record]) -> None:
    @app.get("/api/export/record.json", tags=EXPORT, summary="The whole record", responses={200: WorkRecord})
    def record_json() -> Response:
        from waytell.export.work_record import work_record  # noqa: PLC0415

        text = work_record(record(), now_label()).model_dump_json(indent=1)
        return file_answer(text, "application/json", "record.json")

    @app.get("/api/export/section.dxf", tags=EXPORT, summary="The turned half section after a pass, in mm",
             responses={200: None, 404: Refusal})  # fmt: skip
    def section(query: WhichPass) -> Response:
        from waytell.export.section_dxf import section_dxf  # noqa: PLC0415

        def drawing() -> Response:
            review = section_after(record(), query.number)
            return file_answer(section_dxf(review), "image/vnd.dxf", f"section-{review.passed.number}.dxf")

        return _or_missing(drawing)

    @app.get("/api/export/report.html", tags=EXPORT, summary="A report to print", responses={200: None, 404: Refusal})
    def report_html(query: WhichPart) -> Response:
        from waytell.export.report import report  # noqa: PLC0415

        def page() -> Response:
            return printed_page(report(record(), now_label(), query.part))

        return _or_missing(page)


def _or_missing(answer: Callable[[], Response]) -> Response:
    try:
        return answer()
    except Missing as missing:
        return refuse(HTTPStatus.NOT_FOUND, str(missing), missing.do)
