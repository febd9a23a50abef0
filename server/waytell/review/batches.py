"""Parts and batches with their sizes, spread, capability and times."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from statistics import fmean, stdev

from waytell.documents.config import Units
from waytell.documents.review import Batch, Index, PartRecord, Parts, Size, SizeStatistics
from waytell.engine.words import MM_PER_INCH
from waytell.review.capability import MEANINGFUL_PARTS, cp, cpk
from waytell.review.edges import edge_uses
from waytell.review.record import PartWork, Record


def parts_of(record: Record) -> Parts:
    parts = [_part(work) for work in record.parts if work.passes or work.sizes or work.done]
    return Parts(
        parts=tuple(parts), batches=tuple(_batches(parts, record.units)), edges=edge_uses(record.passes),
        units=record.units,
    )  # fmt: skip


def _part(work: PartWork) -> PartRecord:
    cutting = [one for one in work.passes if one.role != "air"]
    volumes = [one.volume_mm3 for one in cutting if one.volume_mm3 is not None]
    total_s = (work.ended - work.began).total_seconds() if work.began and work.ended else None
    return PartRecord(
        number=work.number, name=work.name, done=work.done, began=_label(work.began), ended=_label(work.ended),
        total_s=total_s, cutting_s=sum(one.duration_s for one in cutting),
        passes=tuple(one.number for one in work.passes), doubtful=sum(bool(one.doubts) for one in work.passes),
        set_ups=tuple(sorted({one.set_up for one in work.passes})),
        volume_mm3=sum(volumes) if cutting and len(volumes) == len(cutting) else None, sizes=tuple(work.sizes),
    )  # fmt: skip


def _label(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _batches(parts: Sequence[PartRecord], units: Units) -> list[Batch]:
    """Of finished parts, in the order in which their first part was made."""
    done = [part for part in parts if part.done]
    return [
        _batch(name, [part for part in done if part.name == name], units)
        for name in dict.fromkeys(part.name for part in done)
    ]


def _batch(name: str, parts: Sequence[PartRecord], units: Units) -> Batch:
    sizes = [size for part in parts for size in part.sizes if size.counts]
    totals = [part.total_s for part in parts if part.total_s is not None]
    return Batch(
        name=name, parts=tuple(part.number for part in parts), total_s=fmean(totals) if totals else None,
        cutting_s=fmean(part.cutting_s for part in parts),
        statistics=tuple(
            statistics_of([size for size in sizes if (size.operation, size.axis) == key], units)
            for key in dict.fromkeys((size.operation, size.axis) for size in sizes)
        ),
    )  # fmt: skip


def statistics_of(sizes: Sequence[Size], units: Units) -> SizeStatistics:
    """Of one size, one value a part."""
    at_mm = [size.at_mm for size in sizes]
    n, mean_mm = len(at_mm), fmean(at_mm)
    s_mm = stdev(at_mm) if n > 1 else None
    limits = {(size.low_mm, size.high_mm) for size in sizes}
    low_mm, high_mm = limits.pop() if len(limits) == 1 else (None, None)
    one_pair = not limits
    both = low_mm is not None and high_mm is not None and s_mm is not None
    found = SizeStatistics(
        operation=sizes[0].operation, axis=sizes[0].axis, parts=n, mean_mm=mean_mm,
        range_mm=max(at_mm) - min(at_mm) if n > 1 else None, s_mm=s_mm, low_mm=low_mm, high_mm=high_mm,
        cp=cp(low_mm, high_mm, s_mm, n) if both else None,  # type: ignore[arg-type]
        cpk=cpk(low_mm, high_mm, mean_mm, s_mm, n) if both else None,  # type: ignore[arg-type]
        outside=sum(size.verdict in ("outside", "reads_outside") for size in sizes), words="",
    )  # fmt: skip
    return found.model_copy(update={"words": _words(found, units, one_pair=one_pair)})


def _words(found: SizeStatistics, units: Units, *, one_pair: bool) -> str:
    if found.s_mm is None:
        return "One part: no spread can be told yet."
    doubled = 2 if found.axis == "X" and units.x_as == "diameter" else 1
    spread = _fine(doubled * found.s_mm, units)
    says = f"{found.parts} parts, standard deviation {spread}{' of the diameter' if doubled == 2 else ''}."
    if found.cp is not None and found.cpk is not None:
        return f"{says} {index_words('Cp', found.cp)}, {index_words('Cpk', found.cpk)}.{_meaning(found.cp)}"
    if not one_pair:
        return f"{says} The limits were not the same for all parts, so no capability is told."
    if found.low_mm is None or found.high_mm is None:
        return f"{says} Without both limits no capability is told."
    return f"{says} All measured the same: no capability can be told from that."


def index_words(name: str, index: Index) -> str:
    """An index with its limits.

    >>> index_words("Cp", Index(value=1.0, low=0.8, high=1.2, meaningful=True))
    'Cp 1.00 (0.80 to 1.20, 95 %)'
    """
    return f"{name} {index.value:.2f} ({index.low:.2f} to {index.high:.2f}, 95 %)"


def _meaning(index: Index) -> str:
    if index.meaningful:
        return ""
    return f" Not yet meaningful: below {MEANINGFUL_PARTS} parts only the width of these limits says something."


def _fine(mm: float, units: Units) -> str:
    """A spread is smaller than a size: one digit more."""
    return f"{mm:.4f} mm" if units.length == "mm" else f"{mm / MM_PER_INCH:.5f} in"
