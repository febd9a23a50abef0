"""Do the tests see a wrong engine? Every module named is changed in one place at a time, and its tests must fail.

    cd tests; PYTHONPATH=. python -m benchmarks.mutants hold_watch velocity

The changes are those of the registry's `cosmic-ray` (install it by hand beside the locked packages: the tests of every
day do not need it), of each kind the ones a hand could have written: the neighbouring comparison and its opposite, a
number one off, plus for minus, and for or, a condition turned round, a loop not entered. A change of an annotation is
left out. Each runs in a fork of a process that has loaded the libraries but nothing of Waytell, first against the tests
of its own module, then, where none failed, against the quick ones of the engine, then against all that look at it.
Prints what survived, to be read by a person.
"""

from __future__ import annotations

import argparse
import importlib
import importlib.util
import os
import re
import signal
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import unified_diff
from pathlib import Path
from typing import NoReturn

from benchmarks.table import print_table

TESTS = Path(__file__).parents[1]
ENGINE = TESTS.parent / "server" / "waytell" / "engine"
KINDS = (
    "NumberReplacer", "AddNot", "ReplaceAndWithOr", "ReplaceOrWithAnd", "ZeroIterationForLoop", "ExceptionReplacer",
    "ReplaceTrueWithFalse", "ReplaceFalseWithTrue", "ReplaceContinueWithBreak", "ReplaceBreakWithContinue",
    "ReplaceUnaryOperator_Delete_USub", "ReplaceUnaryOperator_Delete_Not",
    *(f"ReplaceBinaryOperator_{one}" for one in ("Add_Sub", "Sub_Add", "Mul_Div", "Div_Mul", "Mod_Mul", "Pow_Mul")),
    *(
        f"ReplaceComparisonOperator_{one}"
        for one in ("Lt_LtE", "LtE_Lt", "Gt_GtE", "GtE_Gt", "Lt_Gt", "Gt_Lt", "LtE_GtE", "GtE_LtE", "Eq_NotEq",
                    "NotEq_Eq", "Is_IsNot", "IsNot_Is")
    ),
)  # fmt: skip
QUICK = ("engine/test_velocity.py", "engine/test_axes.py", "engine/test_hold_watch.py", "engine/test_distance_to_go.py",
         "engine/test_doubt.py", "engine/test_shown.py", "engine/test_known.py", "engine/test_guide.py",
         "engine/test_stock_model.py", "engine/test_learning.py", "engine/test_lost_count.py", "engine/test_drilled.py",
         "engine/test_passes_without_outline.py", "engine/test_section.py", "engine/test_positions.py",
         "engine/test_uncertainty.py", "engine/test_pass_finder.py",
         "proving/test_maps_in_use.py")  # fmt: skip
TURNERS = tuple(f"turners/test_{one}.py" for one in ("within_a_pass", "between_passes", "turning", "facing", "holes",
                                                      "grooves", "cones"))  # fmt: skip
# Where the tests of a module are not in the file of its name: the ones that say most about it.
FIRST = {
    "datum": ("engine/test_uncertainty.py",),
    "budget": ("engine/test_uncertainty.py", "engine/test_pass_finder.py", "proving/test_statistics.py"),
    "error_map": ("proving/test_error_map.py", "proving/test_maps_in_use.py"),
    "student_t": ("proving/test_statistics.py",),
    "strokes": (*TURNERS, "proving/test_counts.py"),
    "section": ("engine/test_section.py", "engine/test_stock_model.py", "engine/test_drilled.py"),
    "profile": ("engine/test_stock_model.py", "engine/test_drilled.py"),
    "tool_shape": ("engine/test_stock_model.py",),
    "measured_sizes": ("engine/test_learning.py",),
    "positions": ("engine/test_positions.py", "engine/test_lost_count.py", "engine/test_axes.py"),
    "pass_finder": ("engine/test_pass_finder.py", *TURNERS),
    "passes": TURNERS,
    "pass_record": TURNERS,
}
ALL = ("engine", "turners", "proving", "review", "planning", "journal/test_session.py", "faults/test_any_input.py")
# The mark in a signature from which arguments have names is read as a product: `*` to `/`.
SIGNATURE = re.compile(r"\*, \w+:")
LIBRARIES = ("pytest", "_pytest.assertion.rewrite", "hypothesis", "numpy", "scipy.stats", "pressfit", "jsonschema")
LONGEST_S = 600.0
"""What the tests of an unchanged module may take; with a change they are given up after five times what they took."""


@dataclass(frozen=True)
class Mutant:
    """The engine's module `name` as it would read with one change in `row`."""

    name: str
    row: int
    kind: str
    source: str


def source(name: str) -> str:
    return (ENGINE / f"{name}.py").read_text(encoding="utf-8")


def mutants(name: str) -> Iterator[Mutant]:
    """Every one of the engine's module `name`, in the order of KINDS."""
    from cosmic_ray.ast import ast_nodes, get_ast  # noqa: PLC0415
    from cosmic_ray.mutating import mutate_code  # noqa: PLC0415
    from cosmic_ray.plugins import get_operator  # noqa: PLC0415

    before = source(name)
    rows = before.splitlines()
    for kind in KINDS:
        operator = get_operator(f"core/{kind}")()
        places = [place for node in ast_nodes(get_ast(before)) for place in operator.mutation_positions(node)]
        for n, ((row, _), _) in enumerate(places):
            changed = mutate_code(before, operator, n)
            if changed is not None and not (kind.endswith("Mul_Div") and SIGNATURE.search(rows[row - 1])):
                yield Mutant(name, row, kind, changed)


def put_in_place(mutant: Mutant) -> None:
    """Its module, from here on in this process, is the mutant."""
    package = importlib.import_module("waytell.engine")
    spec = importlib.util.find_spec(f"waytell.engine.{mutant.name}")
    assert spec is not None
    sys.modules[spec.name] = module = importlib.util.module_from_spec(spec)
    setattr(package, mutant.name, module)
    exec(compile(mutant.source, str(spec.origin), "exec"), module.__dict__)


def tested(mutant: Mutant, tests: tuple[str, ...]) -> NoReturn:
    """In a process of its own, in silence: ends it with 0 where all tests pass."""
    os.setpgid(0, 0)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    failed = 1
    try:
        put_in_place(mutant)
        without_shrinking()
        # The libraries are loaded already: their own assertions are not rewritten.
        how = ["-x", "-q", "-p", "no:cacheprovider", "-W", "ignore::pytest.PytestAssertRewriteWarning"]
        failed = int(importlib.import_module("pytest").main([*how, *(str(TESTS / one) for one in tests)]))
    finally:
        os._exit(failed)


def without_shrinking() -> None:
    """That a property fails is enough: nobody reads with which example. What the tests set besides stays."""
    hypothesis = importlib.import_module("hypothesis")
    phases = (hypothesis.Phase.explicit, hypothesis.Phase.generate)
    hypothesis.settings.register_profile("mutants", phases=phases, database=None)
    hypothesis.settings.load_profile("mutants")


def is_seen(mutant: Mutant, tests: tuple[str, ...], longest_s: float) -> bool:
    """Whether one of the tests fails, or does not end in its time, with the mutant in the module's place."""
    child = os.fork()
    if child == 0:
        tested(mutant, tests)
    until_s = time.monotonic() + longest_s
    while time.monotonic() < until_s:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return status != 0
        time.sleep(0.02)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return True


def stages(name: str, *, quick: bool) -> list[tuple[tuple[str, ...], float]]:
    """Tests to try one after the other, and for how many seconds. All must pass with the unchanged module."""
    own = FIRST.get(name, (f"engine/test_{name}.py",))
    unchanged = Mutant(name, 0, "none", source(name))
    found = []
    for tests in [*([own] if (TESTS / own[0]).exists() else []), QUICK, *([] if quick else [ALL])]:
        began_s = time.monotonic()
        if is_seen(unchanged, tests, LONGEST_S):
            sys.exit(f"{name}: its tests fail without any change. Mend that first.")
        found.append((tests, 10 + 5 * (time.monotonic() - began_s)))
    return found


def change(mutant: Mutant) -> str:
    lines = unified_diff(source(mutant.name).splitlines(), mutant.source.splitlines(), n=0, lineterm="")
    return "\n".join(line for line in lines if line[:1] in "+-" and line[:3] not in {"+++", "---"})


def told(mutant: Mutant) -> str:
    """Where it was made is not asked again: rows move."""
    return f" {mutant.kind}\n{change(mutant)}\n"


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("modules", nargs="+", metavar="MODULE")
    ask.add_argument("--quick", action="store_true", help="leave out the slow tests: what survives is only suspected")
    ask.add_argument("--again", type=Path, metavar="FILE", help="only those that survived as an earlier run told")
    asked = ask.parse_args()
    earlier = asked.again.read_text(encoding="utf-8") if asked.again is not None else None
    for name in LIBRARIES:
        importlib.import_module(name)
    rows = []
    for name in asked.modules:
        tried = stages(name, quick=asked.quick)
        began_s, made, survived = time.monotonic(), 0, 0
        for mutant in mutants(name):
            if earlier is not None and told(mutant) not in earlier:
                continue
            made += 1
            if any(is_seen(mutant, tests, longest_s) for tests, longest_s in tried):
                continue
            survived += 1
            print(f"{name}.py:{mutant.row}{told(mutant)}", end="", flush=True)
        rows.append((name, str(made), str(survived), f"{1 - survived / max(made, 1):.3f}",
                     f"{(time.monotonic() - began_s) / max(made, 1):.1f} s"))  # fmt: skip
        print("  ".join(rows[-1]), flush=True)
    print_table("Changes of the engine seen by its tests", ("module", "changes", "survived", "seen", "each"), rows)


if __name__ == "__main__":
    main()
