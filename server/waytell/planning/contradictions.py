"""Which features of a part cannot both be true, with numbers and a way out. A part with any has no plan."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

from waytell.documents.part import Bore, Chamfer, Face, Feature, Groove, Hole, Part, PartOff, Taper, Turned
from waytell.documents.plan import Contradiction
from waytell.engine.section import Section
from waytell.planning.sizes import limits_of
from waytell.planning.target import Numbered, SetUpTarget, chamfer_line, edge_z_mm, length_mm, set_up_targets, shaped

SAME_MM = 1e-6
LEAST_MM = 0.01
"""Nothing shorter or thinner is made on a small lathe."""
BLADE_CLEAR_MM = 3.0  # between the blade and the jaws; common practice, no source


class Checked(NamedTuple):
    """What is wrong with a part, and its targets where nothing is."""

    contradictions: tuple[Contradiction, ...]
    targets: tuple[SetUpTarget, ...]


def contradictions(part: Part) -> tuple[Contradiction, ...]:
    """All that are found; those of the sizes alone come first, since nothing can be drawn before they are mended."""
    return checked(part).contradictions


def checked(part: Part) -> Checked:
    found = list(_of_sizes(part)) or list(_of_set_ups(part))
    if found:
        return Checked(tuple(found), ())
    targets = set_up_targets(part)
    for target in targets:
        places = list(_of_places(target))
        found += places
        # Nothing can be drawn of what lies outside the work.
        found += [] if places else _of_shapes(part, target)
        if found:
            break
    return Checked(tuple(found), () if found else targets)


def name_of(feature: Feature) -> str:
    """What a feature is called in words, with its size."""
    match feature:
        case Turned() | Bore() | Groove() | Taper():
            word = {"turned": "turned", "bore": "bored", "groove": "groove", "taper": "taper"}[feature.kind]
            return f"{word} {feature.diameter.mm:g}"
        case Hole():
            return f"hole {feature.diameter_mm:g}"
        case Chamfer():
            return f"chamfer {feature.size_mm:g}"
        case Face():
            return "face"
        case PartOff():
            return f"parting off at {feature.at_mm:g}"


def _told(one: Numbered) -> str:
    return f"feature {one.number} ({name_of(one.feature)})"


def _against(words: str, do: str, *features: Numbered) -> Contradiction:
    return Contradiction(features=tuple(one.number for one in features), words=_sentence(words), do=do)


def _sentence(words: str) -> str:
    return words[0].upper() + words[1:] + ("" if words.endswith(".") else ".")


# -- alone -------------------------------------------------------------------------------------------------------------


def _of_sizes(part: Part) -> Iterator[Contradiction]:
    for number, feature in enumerate(part.features, start=1):
        one = Numbered(number, feature)
        for size in _sizes(feature):
            try:
                limits = limits_of(size, part.general_tolerance)
            except ValueError as error:
                yield _against(
                    f"the limits of {_told(one)} cannot be told: {error}", "Give upper_mm and lower_mm.", one
                )
                continue
            if limits.low_mm < 0:
                yield _against(f"{_told(one)} could come out below 0", "Correct its size or its limits.", one)
        yield from _of_extent(one)


def _sizes(feature: Feature) -> Iterator:  # type: ignore[type-arg]
    for name in ("diameter", "to", "length"):
        size = getattr(feature, name, None)
        if size is not None:
            yield size


def _of_extent(one: Numbered) -> Iterator[Contradiction]:
    feature = one.feature
    end = getattr(feature, "to_mm", None) or getattr(getattr(feature, "to", None), "mm", None)
    start = getattr(feature, "from_mm", 0.0)
    if end is not None and end < start + LEAST_MM:
        yield _against(
            f"{_told(one)} ends {end:g} from the face, where it begins or before ({start:g})",
            "Its end lies further from the face than its beginning.", one,
        )  # fmt: skip
    across = getattr(feature, "size_mm", None) or getattr(feature, "diameter_mm", None)
    if across is not None and across < LEAST_MM:
        yield _against(f"{_told(one)} is too small to be made", f"Make it {LEAST_MM:g} or more, or leave it out.", one)
    if isinstance(feature, Taper) and abs(feature.diameter.mm - feature.end_diameter_mm) < SAME_MM:
        yield _against(f"{_told(one)} is as thick at both ends", "Make it a turned diameter.", one)
    if isinstance(feature, Turned | Groove | Taper) and feature.diameter.mm <= 0:
        yield _against(f"{_told(one)} has no diameter", "Give its diameter.", one)


def _of_set_ups(part: Part) -> Iterator[Contradiction]:
    faces = [Numbered(n, f) for n, f in enumerate(part.features, start=1) if isinstance(f, Face)]
    parts_off = [Numbered(n, f) for n, f in enumerate(part.features, start=1) if isinstance(f, PartOff)]
    for several in (parts_off, *([one for one in faces if one.feature.set_up == number] for number in (1, 2))):
        if len(several) > 1:
            yield _against(f"{_told(several[0])} is there {len(several)} times", "Leave one of them.", *several)
    for one in faces:
        if one.feature.set_up == 1 and one.feature.length is not None:  # type: ignore[union-attr]
            yield _against(
                "the first face has no length to bring about", "Give the length to the face of set-up 2.", one
            )
    for one in parts_off:
        if one.feature.set_up == 2:
            yield _against("the part is cut off the bar in set-up 1", "Move it there, or leave it out.", one)
    if len(part.set_ups) == 2:
        yield from _of_turning_round(part, faces, parts_off)
    bar = part.bar
    if bar.bore_mm >= bar.diameter_mm:
        yield Contradiction(
            features=(), words=f"The bar's bore {bar.bore_mm:g} is as wide as the bar ({bar.diameter_mm:g}).",
            do="Correct one of them.",
        )  # fmt: skip


def _of_turning_round(part: Part, faces: list[Numbered], parts_off: list[Numbered]) -> Iterator[Contradiction]:
    second = [one for one in faces if one.feature.set_up == 2 and one.feature.length is not None]  # type: ignore[union-attr]
    if not second:
        yield Contradiction(
            features=(), words="Set-up 2 has no face with a length, so its places are not known.",
            do="Add a face to set-up 2 and give it the whole length of the part.",
        )  # fmt: skip
        return
    length = length_mm(part)
    assert length is not None
    if parts_off and parts_off[0].feature.at_mm < length - SAME_MM:  # type: ignore[union-attr]
        yield _against(
            f"{_told(parts_off[0])} leaves less than the length {length:g}",
            f"Part off at {length + 0.5:g} or more, so that the second end can be faced.", parts_off[0], second[0],
        )  # fmt: skip
    if part.set_ups[1].out_mm >= length:
        yield Contradiction(
            features=(), words=f"In set-up 2 {part.set_ups[1].out_mm:g} stand out of a part {length:g} long.",
            do="Let the jaws hold some of it.",
        )  # fmt: skip


# -- together ----------------------------------------------------------------------------------------------------------


def _of_places(target: SetUpTarget) -> Iterator[Contradiction]:
    parted = next((one for one in target.features if isinstance(one.feature, PartOff)), None)
    for one in target.features:
        end = _farthest_mm(one.feature)
        inside = isinstance(one.feature, Hole | Bore)
        if end > target.out_mm + SAME_MM and not inside:
            yield _against(
                f"{_told(one)} reaches {end:g} from the face, but only {target.out_mm:g} stand out of the chuck",
                f"Let {end + BLADE_CLEAR_MM:g} stand out, or turn it from the other end.", one,
            )  # fmt: skip
        # Turning goes on past the end of the part, to where the blade will stand.
        end = getattr(one.feature, "from_mm", 0.0) if isinstance(one.feature, Turned) else end
        at = parted.feature.at_mm if parted is not None else float("inf")  # type: ignore[union-attr]
        if parted is not None and one is not parted and not inside and end > at + SAME_MM:
            yield _against(
                f"{_told(one)} reaches {end:g}, beyond {_told(parted)}",
                f"End it {at:g} from the face or nearer, or part off at {end:g} or more.", one, parted,
            )  # fmt: skip
    if parted is not None and parted.feature.at_mm > target.out_mm - BLADE_CLEAR_MM:  # type: ignore[union-attr]
        yield _against(
            f"{_told(parted)} comes within {BLADE_CLEAR_MM:g} of the jaws ({target.out_mm:g} stand out)",
            f"Let {parted.feature.at_mm + BLADE_CLEAR_MM:g} of the bar stand out.", parted,  # type: ignore[union-attr]
        )  # fmt: skip


def _farthest_mm(feature: Feature) -> float:
    match feature:
        case Turned() | Bore():
            return feature.to.mm
        case Hole() | Taper() | Groove():
            return feature.to_mm
        case Chamfer():
            return feature.at_mm + feature.size_mm
        case PartOff():
            return feature.at_mm
        case Face():
            return 0.0


def _of_shapes(part: Part, target: SetUpTarget) -> Iterator[Contradiction]:
    faced = Section(target.stock.outside.up_to(0.0), target.stock.bore.up_to(0.0))
    shaping = [one for one in target.features if not isinstance(one.feature, Face | PartOff)]
    edges = [one for one in shaping if isinstance(one.feature, Chamfer)]
    others = [one for one in shaping if not isinstance(one.feature, Chamfer)]
    bare = faced
    for one in others:
        bare = shaped(part, bare, one.feature)
    yield from _of_effects(part, faced, others)
    yield from _of_reach(bare, others)
    yield from _of_drilling(part, faced, others)
    if _thinnest(bare) is not None:
        yield from _of_walls(part, faced, others)
    for one in edges:
        yield from _of_edge(part, bare, one)
    yield from _of_meeting_edges(part, bare, edges)


def _of_effects(part: Part, faced: Section, others: list[Numbered]) -> Iterator[Contradiction]:
    """Features whose surface is nowhere to be seen."""
    for one, without in zip(others, _without_each(part, faced, others), strict=True):
        if shaped(part, faced, one.feature) == faced:
            inside = isinstance(one.feature, Hole | Bore)
            there = f"a bore of {2 * faced.bore_at(-SAME_MM):g}" if inside else f"{2 * _thickest(faced, one):g} across"
            do = (
                "Use a bar with a smaller bore, or leave it out." if inside else "Use a thicker bar, or a smaller size."
            )
            yield _against(f"{_told(one)} takes nothing off: the work is {there} already", do, one)
        elif isinstance(one.feature, Hole):
            # A smaller hole may go before a larger one, the same hole not.
            again = [each for each in others if isinstance(each.feature, Hole) and each.number < one.number
                     and each.feature.diameter_mm == one.feature.diameter_mm]  # fmt: skip
            if again:
                yield _against(f"{_told(again[0])} and {_told(one)} are the same", "Leave one of them.", again[0], one)
        elif shaped(part, without, one.feature) == without:
            over = [each for each in others if each is not one and _covers(part, faced, each, one)]
            yield _against(
                f"{_told(one)} is all cut away by {_told(over[0]) if over else 'the others'}",
                "Make it larger or the other shorter, or leave one of them out.", *sorted([one, *over[:1]]),
            )  # fmt: skip


def _thickest(section: Section, one: Numbered) -> float:
    start = getattr(one.feature, "from_mm", 0.0)
    return max(section.largest_radius(-_farthest_mm(one.feature), -start), 0.0)


def _without_each(part: Part, faced: Section, others: list[Numbered]) -> Iterator[Section]:
    """The section with all of them made but one, for each of them."""
    after = [faced]
    for one in reversed(others):
        after.append(shaped(part, after[-1], one.feature))
    before = faced
    for one, rest in zip(others, after[-2::-1], strict=True):
        yield Section(before.outside.lower(list(rest.outside.corners())), before.bore.upper(list(rest.bore.corners())))
        before = shaped(part, before, one.feature)


def _covers(part: Part, faced: Section, cover: Numbered, one: Numbered) -> bool:
    with_cover = shaped(part, faced, cover.feature)
    end = _farthest_mm(one.feature)
    middle = -(getattr(one.feature, "from_mm", 0.0) + end) / 2
    both = shaped(part, with_cover, one.feature)
    return both.radius_at(middle) == with_cover.radius_at(middle) and both.bore_at(middle) == with_cover.bore_at(middle)


def _of_reach(bare: Section, others: list[Numbered]) -> Iterator[Contradiction]:
    """A diameter behind a thicker one cannot be turned from the free end."""
    for one in others:
        if not isinstance(one.feature, Turned) or one.feature.from_mm <= 0:
            continue
        thick = 2 * bare.largest_radius(-one.feature.from_mm, bare.front_mm)
        if thick > 2 * bare.largest_radius(-one.feature.to.mm, -one.feature.from_mm) + SAME_MM:
            yield _against(
                f"{_told(one)} lies behind work {thick:.5g} across, where no tool comes to it from the face",
                "Make it a groove, or turn it from the other end.", one,
            )  # fmt: skip


def _of_drilling(part: Part, faced: Section, others: list[Numbered]) -> Iterator[Contradiction]:
    """A boring bar cannot begin in solid metal."""
    opened = faced
    for one in others:
        if isinstance(one.feature, Hole):
            opened = shaped(part, opened, one.feature)
    for one in others:
        if isinstance(one.feature, Bore) and opened.smallest_bore(-one.feature.to.mm + SAME_MM, 0.0) <= 0:
            end, radius = one.feature.to.mm, one.feature.diameter.mm / 2
            yield _against(
                f"{_told(one)} reaches {end:g}, but no hole is as deep: a boring bar cannot begin in solid metal",
                f"Add a hole of less than {2 * radius:g}, {end:g} deep or deeper.", one,
            )  # fmt: skip


def _of_walls(part: Part, faced: Section, others: list[Numbered]) -> Iterator[Contradiction]:
    outer = [one for one in others if isinstance(one.feature, Turned | Taper | Groove)]
    inner = [one for one in others if isinstance(one.feature, Hole | Bore)]
    for hole in inner:
        opened = shaped(part, faced, hole.feature)
        if thin := _thinnest(opened):
            yield _against(
                f"{_told(hole)} leaves no wall in the bar at {-thin:g} from the face", "Use a thicker bar.", hole
            )
        for one in outer:
            if thin := _thinnest(shaped(part, opened, one.feature)):
                yield _against(
                    f"{_told(hole)} and {_told(one)} leave no wall at {-thin:g} from the face", "Correct one of them.",
                    hole, one,
                )  # fmt: skip


def _thinnest(section: Section) -> float | None:
    """Z of a place without a wall; None where there is metal everywhere."""
    for corner_z in sorted({*section.outside.z, *section.bore.z}):
        for z in (corner_z - SAME_MM, corner_z + SAME_MM):
            if section.chuck_mm < z < section.front_mm and section.radius_at(z) - section.bore_at(z) < SAME_MM:
                return min(z, -SAME_MM)
    return None


def _of_edge(part: Part, bare: Section, one: Numbered) -> Iterator[Contradiction]:
    feature = one.feature
    assert isinstance(feature, Chamfer)
    z = edge_z_mm(part, feature)
    side = bare.outside if feature.where == "outside" else bare.bore.negative()
    behind = side.before(z)
    # Beyond the end of the work, or beyond the wall of a bore, there is nothing in front of the edge.
    before = side.after(z) if z < bare.front_mm else (0.0 if feature.where == "outside" else float("-inf"))
    if feature.where == "inside" and (bare.bore_at(z) <= 0 or behind == float("-inf")):
        yield _against(f"{_told(one)} has no bore to break the edge of", "Add the bore or hole, or leave it out.", one)
        return
    if behind - before <= SAME_MM:
        yield _against(
            f"{_told(one)} finds no edge at {feature.at_mm:g} from the face", "Put it where a diameter begins.", one
        )
        return
    wall = bare.radius_at(z) - bare.bore_at(z)
    if feature.size_mm > min(behind - before, wall) + SAME_MM:
        least = min(behind - before, wall)
        yield _against(f"{_told(one)} is higher than its step of {least:g}", f"Make it {least:g} or less.", one)
    (low, _), _ = chamfer_line(part, bare, feature)
    if side.before(low + SAME_MM) != behind:
        yield _against(f"{_told(one)} is longer than the length that it begins", "Make it smaller.", one)


def _of_meeting_edges(part: Part, bare: Section, edges: list[Numbered]) -> Iterator[Contradiction]:
    """Two broken edges that are one, or that leave nothing of the wall between them."""
    for one, other in combinations(edges, 2):
        a, b = one.feature, other.feature
        assert isinstance(a, Chamfer)
        assert isinstance(b, Chamfer)
        if a.where == b.where:
            if abs(a.at_mm - b.at_mm) < SAME_MM:
                yield _against(f"{_told(one)} and {_told(other)} break the same edge", "Leave one of them.", one, other)
        elif abs(a.at_mm - b.at_mm) < max(a.size_mm, b.size_mm):
            z = min(edge_z_mm(part, a), edge_z_mm(part, b))
            wall = bare.radius_at(z) - bare.bore_at(z)
            if a.size_mm + b.size_mm > wall - SAME_MM:
                yield _against(
                    f"{_told(one)} and {_told(other)} leave nothing of a wall of {wall:g}",
                    f"Let the two together be less than {wall:g}.", one, other,
                )  # fmt: skip
