"""The whole record as one JSON file: the document `WorkRecord`."""

from __future__ import annotations

from waytell.documents.review import WorkRecord
from waytell.export.missing import CAUTION
from waytell.review.batches import parts_of
from waytell.review.passes import review_of
from waytell.review.record import Record


def work_record(record: Record, made: str) -> WorkRecord:
    """`made`: wall-clock time of the export, ISO 8601, UTC."""
    whole = parts_of(record)
    return WorkRecord(
        machine=record.config.machine.name, made=made, caution=CAUTION,
        passes=tuple(review_of(record, passed) for passed in record.passes),
        parts=whole.parts, batches=whole.batches, edges=whole.edges,
    )  # fmt: skip
