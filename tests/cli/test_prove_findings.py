"""`waytell prove` tells what was found before, asking a Waytell that runs or its journal alone."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from export.proving_samples import DISTANCE, LINK, MAP, POSITIONING
from support.proved import proved
from support.running import Waytell, told, waytell
from waytell.cli.prove import prove as prove_group
from waytell.documents.proving import DatedProof, ProvingNow

GREW = POSITIONING.model_copy(
    update={"quantities": tuple(one.model_copy(update={"value": 3 * one.value}) for one in POSITIONING.quantities)}
)


def prove(running: Waytell, *arguments: str | Path, typed: str = "") -> subprocess.CompletedProcess[str]:
    return told("prove", *arguments, "--server", running.url, input=typed)


def now(running: Waytell) -> ProvingNow:
    return ProvingNow.model_validate(running.client.get("/api/proving").raise_for_status().json())


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A journal with findings of before."""
    folder = tmp_path_factory.mktemp("before")
    proved(folder, (LINK, DISTANCE, MAP, POSITIONING, GREW))
    return folder


@pytest.fixture(scope="module")
def before(folder: Path) -> Iterator[Waytell]:
    with waytell("run", "--source", str(folder / "no-such-port"), "--data", str(folder)) as running:
        yield running


def test_alone_it_tells_scales_uncertainty_and_the_newest_findings(before: Waytell) -> None:
    done = prove(before)
    assert done.returncode == 0, done.stderr
    words = " ".join(done.stdout.split())
    assert "cross-slide: scale 0, 1 µm a count, counting up" in words
    for budget in now(before).budgets:
        assert f"{budget.axis}: ± " in words
        assert all(share.words in words for share in budget.shares)
        assert budget.helps_most in words
    assert words.count("positioning, cross-slide") == 1, "only the newest of a kind"
    assert "good │ Every report arrived, the longest gap was 9 ms." in words
    assert ProvingNow.model_validate_json(prove(before, "--json").stdout) == now(before)


def test_the_history_tells_what_drifted(before: Waytell, folder: Path) -> None:
    words = " ".join(prove(before, "history").stdout.split())
    assert words.count("positioning, cross-slide") == 2
    only = " ".join(prove(before, "history", "positioning").stdout.split())
    assert "- Reversal error was 6.3 µm, now 18.9 µm: it grew." in only
    assert "known distance" not in only
    found = [DatedProof.model_validate(one) for one in json.loads(prove(before, "history", "map", "--json").stdout)]
    assert [one.proof for one in found] == [MAP]
    # The same from the journal alone, asking nobody.
    kept = told("prove", "history", "positioning", "--data", folder)
    assert kept.returncode == 0, kept.stderr
    assert " ".join(kept.stdout.split()) == only


def test_the_sheet_can_be_made_of_the_journal_alone(before: Waytell, folder: Path, tmp_path: Path) -> None:
    asked, alone = tmp_path / "asked.html", tmp_path / "alone.html"
    assert prove(before, "sheet", asked).returncode == 0
    assert told("prove", "sheet", alone, "--data", folder).returncode == 0
    one, other = (file.read_text(encoding="utf-8").split("Made ") for file in (asked, alone))
    assert one[0] == other[0]
    assert one[1][20:] == other[1][20:], "but for the time at which it was made"
    assert MAP.words in one[1]


def test_a_map_is_used_and_left_out_again_and_its_stop_told(before: Waytell) -> None:
    number = next(str(one.number) for one in now(before).proofs if one.proof == MAP)
    assert "is not in use" in prove(before, "use", number, "--off").stderr
    assert prove(before, "use", number, "--yes").returncode == 0
    assert "error map waits" in prove(before).stdout
    nothing = prove(before, "stop", "--slide", "carriage")
    assert nothing.returncode == 2
    assert "No reading has come yet." in nothing.stderr
    assert prove(before, "use", number, "--off", "--yes").returncode == 0
    assert "error map" not in prove(before).stdout.partition("X:")[0]
    link = str(now(before).proofs[-1].number)
    assert "changes no figure" in prove(before, "use", link).stderr


# -- what cannot be done -----------------------------------------------------------------------------------------------


def test_where_nobody_answers_it_says_what_to_start() -> None:
    for command in ((), ("link",), ("sheet", "sheet.html")):
        done = told("prove", *command, "--server", "http://127.0.0.1:9")
        assert done.returncode == 2
        assert "Start it first: waytell run" in done.stderr
        assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("distance", "--slide", "carriage"), "--length"),
        (("map",), "--slide"),
        (("map", "--slide", "saddle"), "is not one of"),
        (("rest", "--motor", "maybe"), "is not one of"),
        (("distance", "--slide", "carriage", "--length", "0"), "x>0"),
        (("distance", "--slide", "carriage", "--length", "9999"), "5000"),
        (("distance", "--slide", "compound", "--length", "25"), "No scale is set up on the compound slide."),
        (("temperature", "--slide", "carriage", "--temperature", "99"), "-20<=x<=60"),
        (("use", "9999"), "There is no finding 9999"),
        (("sheet", "sheet.pdf"), "call it sheet.html"),
        (("sheet", "none/sheet.html"), "Name another place"),
        (("history", "--data", "none"), "There is no journal in"),
        (("--server", "lathe"), "no address of a Waytell"),
    ],
)
def test_what_cannot_be_done_is_said_with_what_to_do(
    before: Waytell, tmp_path: Path, arguments: tuple[str, ...], says: str
) -> None:
    refused = told("prove", "--server", before.url, *arguments, cwd=tmp_path, input="")
    assert refused.returncode == 2
    assert says in refused.stderr
    assert "Traceback" not in refused.stderr


def test_help_names_the_command_and_every_check_with_its_options() -> None:
    assert " prove " in told("--help").stdout
    words = " ".join(told("prove", "--help").stdout.split())
    for name, command in prove_group.commands.items():
        assert f" {name} {command.get_short_help_str(100)}" in words
        options = {option for parameter in command.params for option in parameter.opts}
        assert {"--server", "--json"} <= options
    assert {"link", "slide", "rest", "winding", "distance", "map", "positioning", "disc", "collars", "temperature",
            "go-on", "use", "stop", "history", "sheet"} == set(prove_group.commands)  # fmt: skip
