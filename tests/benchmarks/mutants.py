"""Do the tests see a wrong engine? Every module named is changed in one place at a time, and its tests must fail.

    cd tests; PYTHONPATH=. python -m benchmarks.mutants hold_watch velocity

The changes are those of the registry's `cosmic-ray` (install it by hand beside the locked packages: the tests of every
day do not need it), of each kind the ones a hand could have written: the neighbouring comparison and its opposite, a
number one off, plus for minus, and for or, a condition turned round, a loop not entered. A change of an annotation is
left out. Each runs in a fork of a process that has loaded the libraries but nothing of the engine, against the tests
that run through its row: first those that saw the changes before it, then those of its own module, then all, the
shortest first.
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
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from difflib import unified_diff
from itertools import accumulate
from pathlib import Path
from typing import Any, NoReturn

from benchmarks.covering import ENGINE, HOW, TESTS, covering, statement
from benchmarks.table import print_table

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
# The mark in a signature from which arguments have names is read as a product: `*` to `/`.
SIGNATURE = re.compile(r"\*, \w+:")
LOADED = ("pytest", "_pytest.assertion.rewrite", "hypothesis", "numpy", "scipy.stats", "scipy.optimize", "shapely",
          "pressfit", "jsonschema", "waytell.documents.state", "waytell.documents.acts", "waytell.documents.config",
          "waytell.documents.sizes", "waytell_bridge.reading", "waytell_bridge.simulated.serving")  # fmt: skip
"""Once, for all changes: what takes long to load and knows nothing of the engine."""
SLOWER = 5.0
"""With a change the tests are given up after so many times what they take without."""
OFTEN = 8
"""So many of the tests that saw a change before are asked about the next ahead of all others."""


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


class FirstFailure:
    """A plugin of pytest: which test failed, told into a pipe."""

    def __init__(self, pipe: int) -> None:
        self.pipe = pipe

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed:
            os.write(self.pipe, report.nodeid.encode())


def tested(mutant: Mutant, tests: Sequence[str], pipe: int) -> NoReturn:
    """In a process of its own, in silence: ends it with 0 where all tests pass, else tells the one that failed."""
    os.setpgid(0, 0)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    failed = 1
    try:
        put_in_place(mutant)
        without_shrinking()
        paths = [str(TESTS.parent / one) for one in tests]
        failed = int(importlib.import_module("pytest").main([*HOW, *paths], plugins=[FirstFailure(pipe)]))
    finally:
        os._exit(failed)


def without_shrinking() -> None:
    """That a property fails is enough: nobody reads with which example. What the tests set besides stays."""
    hypothesis = importlib.import_module("hypothesis")
    phases = (hypothesis.Phase.explicit, hypothesis.Phase.generate)
    hypothesis.settings.register_profile("mutants", phases=phases, database=None)
    hypothesis.settings.load_profile("mutants")


def seen_by(mutant: Mutant, tests: Sequence[str], longest_s: float) -> str | None:
    """The test that fails with the mutant in the module's place; "" where none ends in time; None where all pass."""
    told, pipe = os.pipe()
    child = os.fork()
    if child == 0:
        tested(mutant, tests, pipe)
    os.close(pipe)
    with os.fdopen(told) as failure:
        until_s = time.monotonic() + longest_s
        while time.monotonic() < until_s:
            ended, status = os.waitpid(child, os.WNOHANG)
            if ended:
                return failure.read() if status != 0 else None
            time.sleep(0.02)
        os.killpg(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return ""


@dataclass
class Watch:
    """The tests that run through a row of a module, and those that saw a change of it so far."""

    by_row: dict[int, list[str]]
    took_s: dict[str, float]
    longest_s: float
    seen: Counter[str] = field(default_factory=Counter)

    def sees(self, mutant: Mutant) -> bool:
        """What saw the last ones most often is asked first: one change is like the next."""
        first, last = statement(source(mutant.name), mutant.row)
        through = {test for row in range(first, last + 1) for test in self.by_row.get(row, [])}
        asked = sorted(through or self.took_s, key=self.took_s.__getitem__)
        own = [test for test in asked if f"/test_{mutant.name}.py" in test]
        often = [test for test, _ in self.seen.most_common() if test in through or not through][:OFTEN]
        others = self.in_time([test for test in asked if test not in own])
        return any(self.fails(mutant, tests) for tests in (often, own, others) if tests)

    def in_time(self, tests: Sequence[str]) -> list[str]:
        until_s = accumulate(self.took_s[one] for one in tests)
        return [one for one, s in zip(tests, until_s, strict=True) if s < self.longest_s]

    def fails(self, mutant: Mutant, tests: Sequence[str]) -> bool:
        test = seen_by(mutant, tests, 10.0 + SLOWER * sum(self.took_s[one] for one in tests))
        self.seen.update([test] if test else [])
        return test is not None


def change(mutant: Mutant) -> str:
    lines = unified_diff(source(mutant.name).splitlines(), mutant.source.splitlines(), n=0, lineterm="")
    return "\n".join(line for line in lines if line[:1] in "+-" and line[:3] not in {"+++", "---"})


def told(mutant: Mutant) -> str:
    """Where it was made is not asked again: rows move."""
    return f" {mutant.kind}\n{change(mutant)}\n"


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("modules", nargs="+", metavar="MODULE")
    ask.add_argument("--longest", type=float, default=60.0, metavar="SECONDS",
                     help="of the tests that run through a row those that take longest are left out")  # fmt: skip
    ask.add_argument("--again", type=Path, metavar="FILE", help="only those that survived as an earlier run told")
    asked = ask.parse_args()
    earlier = asked.again.read_text(encoding="utf-8") if asked.again is not None else None
    for name in LOADED:
        importlib.import_module(name)
    by_module, took_s = covering()
    rows = []
    for name in asked.modules:
        watch = Watch(by_module[name], took_s, asked.longest)
        began_s, made, survived = time.monotonic(), 0, 0
        for mutant in mutants(name):
            if earlier is not None and told(mutant) not in earlier:
                continue
            made += 1
            if watch.sees(mutant):
                continue
            survived += 1
            print(f"{name}.py:{mutant.row}{told(mutant)}", end="", flush=True)
        rows.append((name, str(made), str(survived), f"{1 - survived / max(made, 1):.3f}",
                     f"{(time.monotonic() - began_s) / max(made, 1):.1f} s"))  # fmt: skip
        print("  ".join(rows[-1]), flush=True)
    print_table("Changes of the engine seen by its tests", ("module", "changes", "survived", "seen", "each"), rows)


if __name__ == "__main__":
    main()
