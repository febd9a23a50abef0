"""What was proved, as files to take away: a sheet to print, the whole document, the points of a finding as a table."""

from __future__ import annotations

from http import HTTPStatus

from flask import Response
from flask_openapi3.models.tag import Tag
from flask_openapi3.openapi import OpenAPI
from pydantic import BaseModel, Field

from waytell.documents.proving import ProvingNow
from waytell.http.answers import Loop, Refusal, file_answer, now_label, printed_page, refuse
from waytell.session import Session

EXPORT = [Tag(name="export", description="Files to take away")]


class WhichProof(BaseModel):
    proof: int = Field(ge=1)
    """Number of the finding."""


def add_proving_files(app: OpenAPI, session: Session, inside: Loop) -> None:
    @app.get("/api/export/proving.html", tags=EXPORT, summary="The proving sheet, to print", responses={200: None})
    def proving_sheet_page() -> Response:
        from waytell.export.proving_sheet import proving_sheet  # noqa: PLC0415 - slow to load, wanted here only

        now, config = inside.call(lambda: (session.proving(), session.config))
        return printed_page(proving_sheet(now, config, now_label()))

    @app.get("/api/export/proving.json", tags=EXPORT, summary="All that was proved", responses={200: ProvingNow})
    def proving_json() -> Response:
        text = inside.call(session.proving).model_dump_json(indent=1)
        return file_answer(text, "application/json", "proving.json")

    @app.get("/api/export/proving.csv", tags=EXPORT, summary="The points that a finding plots, as a table",
             responses={200: None, 404: Refusal})  # fmt: skip
    def proving_csv(query: WhichProof) -> Response:
        from waytell.export.tables import plots_table  # noqa: PLC0415

        proofs = inside.call(session.proving).proofs
        found = next((one.proof for one in proofs if one.number == query.proof), None)
        if found is None:
            return refuse(HTTPStatus.NOT_FOUND, f"There is no finding {query.proof}.", "Choose one under Prove.")
        return file_answer(plots_table(found), "text/csv; header=present", f"finding-{query.proof}.csv")
