"""The parts of DEVELOPERS.md that are made from the code: `cd tests && python -m docs.generated` writes them anew.

Each stands between `<!-- made: NAME -->` and `<!-- end: NAME -->`; a test fails while they differ from the code.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel, TypeAdapter

from faults.table import FAULTS
from waytell.documents import acts
from waytell.documents.config import Config
from waytell.documents.part import Bar, Chucking, Dimension, Feature, Part
from waytell.documents.plan import Planned
from waytell.documents.review import PassReview, WorkRecord
from waytell.documents.state import DoubtCode, LiveState, Pass
from waytell.engine.doubt import in_words
from waytell.engine.guide import FIRM, RULES
from waytell_bridge.mqtt.messages import TOPICS

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"
BILL = Path(__file__).parents[1] / "supply" / "sbom.cdx.json"
EXAMPLE_LOG = Path(__file__).parents[1] / "golden" / "one_pass.wirelog"


def table(head: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    head = list(head)
    lines = ["| " + " | ".join(head) + " |", "|" + " --- |" * len(head)]
    lines += ["| " + " | ".join(cell.replace("|", "\\|").replace("\n", " ") for cell in row) + " |" for row in rows]
    return "\n".join(lines)


def kind_of(schema: dict[str, Any]) -> str:
    """A JSON type in words."""
    if "$ref" in schema:
        return str(schema["$ref"]).rsplit("/", 1)[1]
    if "const" in schema:
        return json.dumps(schema["const"])
    if "enum" in schema:
        return ", ".join(json.dumps(value) for value in schema["enum"])
    for many in ("anyOf", "oneOf"):
        if many in schema:
            return " or ".join(kind_of(one) for one in schema[many])
    if schema.get("type") == "array":
        return f"list of {kind_of(schema['items'])}" if "items" in schema else "list"
    return str(schema.get("type", "any"))


def fields(model: type[BaseModel]) -> str:
    properties = model.model_json_schema()["properties"]
    return table(
        ("name", "type", "meaning"),
        ((f"`{name}`", kind_of(one), one.get("description", "")) for name, one in properties.items()),
    )


def act_table() -> str:
    rows = []
    for model in get_args(get_args(acts.Act)[0]):
        properties = {k: v for k, v in model.model_json_schema()["properties"].items() if k != "act"}
        named = ", ".join(f"`{name}`" for name in properties) or "-"
        rows.append((f"`{get_args(model.model_fields['act'].annotation)[0]}`", named, (model.__doc__ or "").strip()))
    return table(("act", "fields", "meaning"), rows)


def part_tables() -> str:
    """The part and the tables in it, each under its name."""
    return "\n\n".join(f"`{one.__name__}`\n\n{fields(one)}" for one in (Part, Bar, Chucking, Dimension))


def feature_table() -> str:
    rows = []
    for model in get_args(get_args(Feature)[0]):
        properties = {k: v for k, v in model.model_json_schema()["properties"].items() if k != "kind"}
        named = "; ".join(
            f"`{name}`" + (f": {one['description']}".rstrip(".") if "description" in one else "")
            for name, one in properties.items()
        )
        rows.append((f"`{get_args(model.model_fields['kind'].annotation)[0]}`", named, (model.__doc__ or "").strip()))
    return table(("kind", "names", "meaning"), rows)


def schemas() -> str:
    parts = []
    for name, schema in (
        ("An act", acts.ACT.json_schema()),
        ("The state document", LiveState.model_json_schema()),
        ("A pass", Pass.model_json_schema()),
        ("The record", WorkRecord.model_json_schema()),
        ("The configuration", TypeAdapter(Config).json_schema()),
        ("A part", Part.model_json_schema()),
        ("A plan", Planned.model_json_schema()),
    ):
        text = json.dumps(schema, ensure_ascii=False, separators=(",", ":"))
        parts.append(f"<details><summary>{name}</summary>\n\n```json\n{text}\n```\n\n</details>")
    return "\n\n".join(parts)


def doubts() -> str:
    rows = []
    for code in get_args(DoubtCode):
        doubt = in_words(code, "")
        rows.append((f"`{code}`", doubt.words, doubt.do))
    return table(("code", "what the person reads", "what to do"), rows)


def faults() -> str:
    return table(
        ("fault", "caused by", "what the person sees", "within"),
        (
            (name, one.caused, one.seen, "-" if one.within_ms is None else f"{one.within_ms} ms")
            for name, one in FAULTS.items()
        ),
    )


def licences_of(component: dict[str, Any]) -> str:
    """Of a component of the bill of materials, as an expression of licence names."""
    told = []
    for one in component.get("licenses", []):
        name = one.get("expression") or one["license"].get("id") or one["license"]["name"]
        told.append("BSD" if name.endswith("BSD License") else name)
    return " AND ".join(dict.fromkeys(told))


def licences() -> str:
    bill = json.loads(BILL.read_text(encoding="utf-8"))
    return table(
        ("package", "version", "licence"),
        ((one["name"], one["version"], licences_of(one)) for one in sorted(bill["components"], key=by_name)),
    )


def by_name(component: dict[str, Any]) -> str:
    return str(component["name"]).lower()


def guide_rules() -> str:
    return table(
        ("order", "state", "speaks when", "can be passed over"),
        (
            (str(i), f"`{state}`", (rule.__doc__ or "").strip(), "no" if state in FIRM else "yes")
            for i, (state, rule) in enumerate(RULES.items(), 1)
        ),
    )


PAGE = Path(__file__).parents[2] / "web/waytell_web/static/js"


def keys() -> str:
    source = (PAGE / "key_map.js").read_text(encoding="utf-8")
    deeds = re.findall(r'^  \w+: \{ words: "([^"]+)", key: "([^"]+)" \},$', source, re.MULTILINE)
    return table(("key", "what it tells or opens"), ((f"`{key}`", words) for words, key in deeds))


def signals() -> str:
    """Numbers of beats follow from the rhythm in words; the pitch is that of the first."""
    source = (PAGE / "rhythm.js").read_text(encoding="utf-8")
    words = dict(re.findall(r'^  (\w+): "([^"]+)",$', source, re.MULTILINE))
    rows = []
    for name, body in re.findall(r"^  (\w+): (\{ beats: .*\}),$", source, re.MULTILINE):
        pitch, every, times = (
            re.findall(pattern, body)[0] for pattern in (r"(\d+)\)", r"every_s: ([\d.]+)", r"times: (\w+)")
        )
        often = {"Infinity": "for as long as it stands", "1": "once"}.get(times, f"{times} times")
        rows.append((words[name], f"{pitch} Hz", f"{every} s", often))
    return table(("signal: rhythm", "pitch", "from one to the next", "how often"), rows)


def example_log() -> str:
    return f"```text\n{EXAMPLE_LOG.read_text(encoding='utf-8')}```"


def topics() -> str:
    rows = (
        (f"`{leaf}`", one.sender, str(one.qos), "yes" if one.retained else "no", f"`{one.payload.__name__}`", one.words)
        for leaf, one in TOPICS.items()
    )
    told = table(("topic", "from", "QoS", "retained", "payload", "what"), rows)
    models = dict.fromkeys(one.payload for one in TOPICS.values())
    schemas = (json.dumps(model.model_json_schema(), separators=(",", ":"), sort_keys=True) for model in models)
    return told + "\n\n```json\n" + "\n".join(schemas) + "\n```"


PARTS = {
    "topics": topics,
    "example log": example_log,
    "acts": act_table,
    "operation": lambda: fields(acts.Operation),
    "state": lambda: fields(LiveState),
    "pass": lambda: fields(Pass),
    "pass_review": lambda: fields(PassReview),
    "record": lambda: fields(WorkRecord),
    "part": part_tables,
    "features": feature_table,
    "doubts": doubts,
    "faults": faults,
    "licences": licences,
    "guide": guide_rules,
    "keys": keys,
    "signals": signals,
    "schemas": schemas,
}


def renewed(text: str) -> str:
    """The document with every made part as the code now gives it."""
    for name, make in PARTS.items():
        pattern = re.compile(rf"(<!-- made: {name} -->\n).*?(<!-- end: {name} -->)", re.DOTALL)
        assert pattern.search(text), f"DEVELOPERS.md has no place for {name}"
        made = make()
        text = pattern.sub(lambda match, made=made: f"{match[1]}{made}\n{match[2]}", text)  # type: ignore[misc]
    return text


if __name__ == "__main__":
    DEVELOPERS.write_text(renewed(DEVELOPERS.read_text(encoding="utf-8")), encoding="utf-8")
