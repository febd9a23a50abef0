"""The documents say what is: made parts equal the code, commands and files named in them are there."""

from __future__ import annotations

import re
import runpy
import subprocess
from pathlib import Path

import pytest

from docs.generated import DEVELOPERS, renewed
from waytell.cli import main

TOP = Path(__file__).parents[2]
README = TOP / "README.md"
ALLOWED_AT_TOP = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "pyproject.toml",
    "firmware_bridge",
    "server",
    "web",
    "tests",
}


def tracked() -> list[str]:
    listed = subprocess.run(["git", "ls-files"], cwd=TOP, text=True, capture_output=True, check=True)
    return listed.stdout.splitlines()


def test_made_parts_of_the_developers_document_equal_the_code() -> None:
    text = DEVELOPERS.read_text(encoding="utf-8")
    assert renewed(text) == text, "write them anew: cd tests && python -m docs.generated"


@pytest.mark.parametrize("document", [README, DEVELOPERS])
def test_every_waytell_command_named_in_a_document_is_one(document: Path) -> None:
    named = set(re.findall(r"`(?:\.venv/bin/)?waytell ([a-z]+)", document.read_text(encoding="utf-8")))
    assert named <= set(main.commands)
    assert named


@pytest.mark.parametrize("document", [README, DEVELOPERS])
def test_every_file_linked_in_a_document_is_there(document: Path) -> None:
    links = re.findall(r"\]\(([^)#:]+)\)", document.read_text(encoding="utf-8"))
    assert [link for link in links if not (TOP / link).exists()] == []


def test_the_pictures_of_the_documents_are_those_that_the_script_takes() -> None:
    """None is left over from an older look of the page, and none is arranged by hand."""
    taken = runpy.run_path(str(TOP / "web/pictures/take.py"))["PICTURES"]
    texts = "".join(document.read_text(encoding="utf-8") for document in (README, DEVELOPERS))
    linked = set(re.findall(r"web/pictures/([\w-]+)\.png", texts))
    assert linked == set(taken) == {path.stem for path in (TOP / "web/pictures").glob("*.png")}


def test_every_folder_on_the_map_is_there() -> None:
    shown = re.findall(r"^    ([a-z_./]+)/? {2,}", DEVELOPERS.read_text(encoding="utf-8"), re.MULTILINE)
    assert len(shown) > 10
    assert [path for path in shown if not (TOP / path).exists()] == []


def test_the_top_level_holds_only_what_was_agreed() -> None:
    top = {path.split("/")[0] for path in tracked()}
    assert {name for name in top if not name.startswith(".")} <= ALLOWED_AT_TOP


def test_the_readme_opens_with_the_job_in_one_paragraph() -> None:
    first = README.read_text(encoding="utf-8").split("\n\n")[1]
    for words in ("manual lathe", "how much is left", "stop on size", "true record", "never moves anything"):
        assert words in " ".join(first.split())
