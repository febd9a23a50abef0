"""What the Prove page asks: the check under way, what was found, the uncertainty of each axis."""

from __future__ import annotations

from flask import Response
from flask_openapi3.models.tag import Tag
from flask_openapi3.openapi import OpenAPI

from waytell.documents.proving import ProvingNow
from waytell.http.answers import Loop, json_answer
from waytell.http.page_files import page_file
from waytell.http.proving_files import add_proving_files
from waytell.session import Session

PROVE = [Tag(name="proving", description="Whether the scales can be trusted, and how far")]


def add_proving(app: OpenAPI, session: Session, inside: Loop) -> None:
    @app.route("/prove")
    def prove_page() -> Response:
        return page_file("prove.html")

    @app.get("/api/proving", tags=PROVE, summary="The check under way, what was found, the uncertainty",
             responses={200: ProvingNow})  # fmt: skip
    def proving_now() -> Response:
        return json_answer(inside.call(session.proving).model_dump_json())

    add_proving_files(app, session, inside)
