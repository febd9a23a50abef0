"""What the program is made of: locked, listed with its licences, and none of them a surprise."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path
from typing import Any

from docs.generated import licences_of

HERE = Path(__file__).parent
PROJECT = tomllib.loads((HERE.parents[1] / "pyproject.toml").read_text(encoding="utf-8"))["project"]
BILL: dict[str, Any] = json.loads((HERE / "sbom.cdx.json").read_text(encoding="utf-8"))
LOCK = (HERE / "requirements.lock").read_text(encoding="utf-8")
# Any of these may be used by a program under the MIT licence; the last is used unchanged, as a library, where a
# database server is wanted.
KNOWN = {
    "0BSD", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "BSD", "CC0-1.0", "EPL-2.0", "MIT", "MIT-0", "PSF-2.0",
    "Zlib", "LGPL-3.0-only",
}  # fmt: skip


def normal(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def named(requirements: list[str]) -> set[str]:
    return {normal(re.split(r"[\[<>=~! ;]", one, maxsplit=1)[0]) for one in requirements}


def test_all_that_is_needed_is_locked_with_its_checksums() -> None:
    checksums = r"((?:    --hash=sha256:[0-9a-f]{64}(?: \\)?\n)+)"
    locked = re.findall(r"^([A-Za-z0-9_.-]+)==\S+(?: ; .*?)? \\\n" + checksums, LOCK, re.MULTILINE)
    wanted = named([*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"]])
    assert wanted <= {normal(name) for name, _ in locked}
    assert len(locked) == len(re.findall(r"^[A-Za-z0-9_.-]+==", LOCK, re.MULTILINE)), "each has checksums"


def test_the_bill_of_materials_lists_all_that_the_program_needs_as_it_is_locked() -> None:
    listed = {normal(one["name"]): one["version"] for one in BILL["components"]}
    assert named([*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["postgresql"]]) <= listed.keys()
    for name, version in listed.items():
        assert re.search(rf"^{re.escape(name)}==", LOCK, re.MULTILINE), name
        assert re.search(rf"^{re.escape(name)}=={re.escape(version)}[ ;]", LOCK, re.MULTILINE), (name, version)


def test_every_licence_is_one_that_was_looked_at() -> None:
    for one in BILL["components"]:
        names = set(re.split(r" AND | OR ", licences_of(one)))
        assert names
        assert names <= KNOWN, (one["name"], names)


def test_nobody_is_named_and_nothing_is_linked_to() -> None:
    for one in BILL["components"]:
        assert not {"author", "authors", "publisher", "externalReferences"} & one.keys()
