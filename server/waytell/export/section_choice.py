"""Which pass a section is drawn after."""

from __future__ import annotations

from waytell.documents.review import PassReview
from waytell.export.missing import Missing
from waytell.review.passes import review_of
from waytell.review.record import Record

NONE_KNOWN = "The outline of the work is not known"
TELL_STOCK = "Tell the bar under Set up before the first pass: the outline is known from then on."


def review_by_number(record: Record, number: int) -> PassReview:
    """One pass with all that is told of it.

    Raises:
        Missing: there is no such pass.
    """
    for passed in record.passes:
        if passed.number == number:
            return review_of(record, passed)
    taken = len(record.passes)
    raise Missing(
        f"There is no pass {number}.",
        f"Passes 1 to {taken} were taken." if taken else "No pass was taken yet: take one first.",
    )


def section_after(record: Record, number: int | None = None) -> PassReview:
    """The pass of that number, or the newest one whose outline is known.

    Raises:
        Missing: no such pass, or no outline.
    """
    if number is not None:
        review = review_by_number(record, number)
        if not review.outline_after:
            raise Missing(f"{NONE_KNOWN} for pass {number}.", TELL_STOCK)
        return review
    for passed in reversed(record.passes):
        if record.bodies[passed.number].get("outlined"):
            return review_of(record, passed)
    raise Missing(f"{NONE_KNOWN} for any pass.", TELL_STOCK)
