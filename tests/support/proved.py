"""A journal of an invented lathe whose scales were checked before."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from review.work import Journal
from waytell.documents.proving import Proof
from waytell.journal.store import Store, journal_url

CONFIG = {
    "machine": {"name": "invented lathe", "temperature_c": 18.0},
    "scales": [
        {"channel": 0, "slide": "cross", "resolution_um": 1.0},
        {"channel": 1, "slide": "carriage", "resolution_um": 5.0},
    ],
}


def proved(folder: Path, proofs: Sequence[Proof]) -> list[int]:
    """Writes it; gives the number of each finding: from 1, the oldest first."""
    journal = Journal()
    journal.act("use_config", config=CONFIG)
    for proof in proofs:
        journal.act("begin_check", check=proof.check.model_dump(mode="json"))
        journal.act("finish_check", proof=proof.model_dump(mode="json"))
    store = Store(journal_url(folder))
    # The name under which a Waytell keeps its journal that was told no other.
    store.append("lathe", journal.events)
    store.close()
    return list(range(1, len(proofs) + 1))
