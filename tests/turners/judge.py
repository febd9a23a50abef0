"""Compares the passes that the program found in a wire log with those that really happened, in words."""

from __future__ import annotations

import os
from pathlib import Path

from turners.board import BEGIN_NS, Bench, wire_log
from turners.truth import TruePass
from turners.turner import Turner
from waytell.documents.state import Pass
from waytell.replay import replay

BEGIN_S = BEGIN_NS / 1e9
REACTION_S = 0.35
"""Start and end of a pass are told this well in time: a hand that slows down leaves no sharper moment."""


def found(turner: Turner, bench: Bench) -> list[Pass]:
    lines = wire_log(turner, bench)
    keep = os.environ.get("TURNERS_KEEP")
    if keep:
        Path(keep).write_text("".join(lines), encoding="utf-8")
    replayed = replay(lines, bench.name)
    assert replayed.troubles == []
    return replayed.passes


def judge(turner: Turner, bench: Bench) -> list[Pass]:
    """Fails with every difference between the passes found and the true ones; gives those found."""
    passes = found(turner, bench)
    compare(turner, passes, bench)
    return passes


def compare(turner: Turner, passes: list[Pass], bench: Bench) -> None:
    wrong = differences(turner.passes, passes, bench)
    assert not wrong, "\n".join([*wrong, "true:", *map(_true_line, turner.passes), "found:", *map(_found_line, passes)])


def differences(true: list[TruePass], passes: list[Pass], bench: Bench) -> list[str]:
    wrong = []
    if len(true) != len(passes):
        wrong.append(f"{len(true)} passes were taken, {len(passes)} found")
    for number, (was, one) in enumerate(zip(true, passes, strict=False), start=1):
        wrong += [f"pass {number}: {words}" for words in _compare(was, one, bench)]
    return wrong


def _compare(was: TruePass, one: Pass, bench: Bench) -> list[str]:
    two, begin_s = 2 * bench.resolution_mm, BEGIN_S
    place = two + 0.03
    start = place + was.start_speed_mm_s * (1 / bench.rate_hz + 0.002)
    wander = was.wander_mm / 2
    checks = [
        None if one.kind == was.or_kind else _same("kind", one.kind, was.kind),
        _same("role", one.role, was.role),
        _same("feed axis", one.feed_axis, was.feed_axis),
        _same("fed by", one.fed_by, was.fed_by),
        _between("end", one.end_mm, was.end_mm, place),
        _near("held", one.held_mm, was.held_mm, two + 0.003 + wander),
        # In doubt the program may leave a depth open, never say a wrong one.
        None
        if one.doubts and one.depth_mm is None
        else _near("depth", one.depth_mm, was.depth_mm, _depth_band(was, place, two)),
        _near("rpm", one.rpm, was.rpm, 0.01 * was.rpm),
        _between("feed", one.feed_mm_min, was.feed_mm_min, 2 + 0.12 * was.feed_mm_min[1]),
    ]
    if one.rpm is not None:
        checks.append(
            _near("feed a revolution", one.feed_mm_rev, one.feed_mm_min / was.rpm, 0.02 * one.feed_mm_min / was.rpm)
        )
    if was.role != "air":
        checks += [
            _near("start", one.start_mm, was.start_mm, start),
            _near("creep", one.creep_mm, was.creep_mm, two + 0.003),
            _between("begun", one.t_start_s - begin_s, (was.t_start_s, was.t_start_s), REACTION_S),
            _between("ended", one.t_end_s - begin_s, was.t_end_s, REACTION_S),
            _between("lasted", one.duration_s, was.duration_s, 2 * REACTION_S),
        ]
    return [words for words in checks if words]


def _depth_band(was: TruePass, place: float, two: float) -> float:
    """Along the feed a depth is as good as an end; along the held axis as a held size, less what crept."""
    return 2 * place if was.kind in ("grooving", "parting", "drilling") else two + 0.004 + was.wander_mm


def _same(what: str, got: str, right: str | None) -> str | None:
    return None if right is None or got == right else f"{what} is {right}, found {got}"


def _near(what: str, got: float | None, right: float | None, band: float) -> str | None:
    return None if right is None else _between(what, got, (right, right), band)


def _between(what: str, got: float | None, right: tuple[float, float] | None, band: float) -> str | None:
    if right is None or (got is not None and right[0] - band <= got <= right[1] + band):
        return None
    told = f"{right[0]:.3f}" if right[0] == right[1] else f"{right[0]:.3f} to {right[1]:.3f}"
    return f"{what} is {told} +- {band:.3f}, found {'nothing' if got is None else f'{got:.3f}'}"


def _true_line(one: TruePass) -> str:
    held = "-" if one.held_mm is None else f"{one.held_mm:.3f}"
    return (
        f"  {one.kind} {one.role or '?'} {one.feed_axis} {one.start_mm:.3f} -> {one.end_mm[0]:.3f}..{one.end_mm[1]:.3f}"
        f" held {held} depth {one.depth_mm} creep {one.creep_mm} from {one.t_start_s:.2f} s"
    )


def _found_line(one: Pass) -> str:
    return (
        f"  {one.kind} {one.role} {one.feed_axis} {one.start_mm:.3f} -> {one.end_mm:.3f} held {one.held_mm:.3f}"
        f" depth {one.depth_mm} creep {one.creep_mm:.3f}"
        f" from {one.t_start_s - BEGIN_S:.2f} s to {one.t_end_s - BEGIN_S:.2f} s"
    )
