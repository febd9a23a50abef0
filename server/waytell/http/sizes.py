"""A size while it is being entered: what it would say, before it is told as an act."""

from __future__ import annotations

from flask import Response
from flask_openapi3.models.tag import Tag
from flask_openapi3.openapi import OpenAPI

from waytell.documents.sizes import SizeAsked, SizeTried
from waytell.http.answers import Loop, json_answer
from waytell.session import Session


def add_sizes(app: OpenAPI, session: Session, inside: Loop) -> None:
    tag = [Tag(name="acts", description="What the person tells")]

    @app.post("/api/measured/try", tags=tag, responses={200: SizeTried},
              summary="What a size would say and advise; nothing is stored")  # fmt: skip
    def try_size(body: SizeAsked) -> Response:
        return json_answer(inside.call(lambda: session.try_size(body)).model_dump_json())
