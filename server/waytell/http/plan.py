"""The Plan page and what it asks: the part in use and its plan, parts being typed, part files, tables."""

from __future__ import annotations

from http import HTTPStatus

from flask import Response, request
from flask_openapi3.models.tag import Tag
from flask_openapi3.openapi import OpenAPI
from pydantic import BaseModel

from waytell.documents.base import Document
from waytell.documents.config import Config, Tool
from waytell.documents.materials import Material
from waytell.documents.part import Part
from waytell.documents.plan import Plan, Planned, PlanNow, WhatIf
from waytell.http.answers import Loop, Refusal, file_answer, json_answer, now_label, printed_page, refuse
from waytell.http.page_files import page_file
from waytell.session import Session

PLAN = [Tag(name="plan", description="From a drawing to operations")]
LONGEST_FILE = 200_000


class Tables(Document):
    """What plans are reckoned from. Materials: the person's own, then the usual ones that none of them replaces."""

    materials: tuple[Material, ...]
    tools: tuple[Tool, ...]
    """Usual tools, to begin a table of one's own with."""
    config: Config


class WhatIfAsked(BaseModel):
    part: Part
    step: int


def add_plan(app: OpenAPI, session: Session, inside: Loop) -> None:
    @app.route("/plan")
    def plan_page() -> Response:
        return page_file("plan.html")

    @app.get("/api/plan", tags=PLAN, summary="The part in use and its plan as it is now", responses={200: PlanNow})
    def plan_now() -> Response:
        return json_answer(inside.call(session.plan).model_dump_json())

    _add_trying(app, session, inside)
    _add_files(app, session, inside)


def _add_trying(app: OpenAPI, session: Session, inside: Loop) -> None:
    @app.post("/api/plan/try", tags=PLAN, summary="The plan of a part that is being described; nothing is stored",
              responses={200: Planned})  # fmt: skip
    def try_plan(body: Part) -> Response:
        from waytell.planning.planner import plan  # noqa: PLC0415 - slow to load, wanted here only

        return json_answer(plan(body, inside.call(lambda: session.config)).model_dump_json())

    @app.post("/api/plan/what_if", tags=PLAN, summary="A step with other depths of cut",
              responses={200: WhatIf, 409: Refusal})  # fmt: skip
    def try_depths(body: WhatIfAsked) -> Response:
        from waytell.planning.what_if import NoSuchStep, what_if  # noqa: PLC0415

        try:
            found = what_if(body.part, inside.call(lambda: session.config), body.step)
        except NoSuchStep as error:
            return refuse(HTTPStatus.CONFLICT, str(error), "Choose another step.")
        return json_answer(found.model_dump_json())

    @app.get("/api/plan/tables", tags=PLAN, summary="Materials, usual tools and the configuration",
             responses={200: Tables})  # fmt: skip
    def tables() -> Response:
        from waytell.planning.materials import known_materials  # noqa: PLC0415
        from waytell.planning.usual_tools import USUAL_TOOLS  # noqa: PLC0415

        config = inside.call(lambda: session.config)
        found = Tables(materials=known_materials(config.materials), tools=USUAL_TOOLS, config=config)
        return json_answer(found.model_dump_json())


def _add_files(app: OpenAPI, session: Session, inside: Loop) -> None:
    @app.post("/api/plan/read", tags=PLAN, summary="Read a part file (TOML)", responses={200: Part, 422: Refusal})
    def read() -> Response:
        from waytell.part_file import PartFileError, read_part  # noqa: PLC0415

        if (request.content_length or 0) > LONGEST_FILE:
            return refuse(HTTPStatus.UNPROCESSABLE_ENTITY, "The file is too long for a part file.", "Choose another.")
        try:
            part = read_part(request.get_data(as_text=False).decode("utf-8", "replace"), "the file")
        except PartFileError as error:
            return refuse(HTTPStatus.UNPROCESSABLE_ENTITY, str(error), "Correct the file and read it again.")
        return json_answer(part.model_dump_json())

    @app.get("/api/export/part.toml", tags=PLAN, summary="The part in use as a part file",
             responses={200: None, 404: Refusal})  # fmt: skip
    def part_toml() -> Response:
        from waytell.part_file import part_text  # noqa: PLC0415

        part = inside.call(session.plan).part
        return _no_part() if part is None else file_answer(part_text(part), "application/toml", "part.toml")

    @app.get("/api/export/set-up-sheet.html", tags=PLAN, summary="The set-up sheet of the part in use, to print",
             responses={200: None, 404: Refusal})  # fmt: skip
    def sheet() -> Response:
        from waytell.export.set_up_sheet import set_up_sheet  # noqa: PLC0415
        from waytell.planning.planner import plan  # noqa: PLC0415

        part, config = inside.call(lambda: (session.plan().part, session.config))
        found: Plan | None = plan(part, config).plan if part is not None else None
        if found is None:
            return _no_part()
        return printed_page(set_up_sheet(found, config, now_label()))


def _no_part() -> Response:
    return refuse(
        HTTPStatus.NOT_FOUND, "No part with a plan is in use.", "Describe a part under Plan and put it in use first."
    )
