"""What a recording begins with where work was done before: the set-up as acts, so that the log alone tells it.

Not in it: the metal that was taken off before, and the offsets of tools other than the one in use.
"""

from __future__ import annotations

from waytell.documents import acts
from waytell.documents.proving import Proof
from waytell.engine.axes import AXES
from waytell.engine.datum import Datum
from waytell.engine.engine import Engine
from waytell.engine.known import Known
from waytell.engine.proved import Found, Proved

REST_READINGS = 20
REST_COUNTS = 2


def set_up_known(known: Known) -> list[acts.Act]:
    """Acts that bring a new lathe to what is known; where the tool stands is left to `places_known`."""
    found: list[acts.Act] = [
        acts.UseConfig(act="use_config", config=known.config),
        *_proved(known),
        *([acts.UsePart(act="use_part", part=known.drawing)] if known.drawing is not None else []),
        acts.NewSetUp(act="new_set_up", stock=known.stock, outline=known.outline, of_part=known.drawing_set_up or None),
        acts.ChooseUnits(act="choose_units", units=known.units),
    ]
    if known.tool is not None:
        found.append(acts.ChooseTool(act="choose_tool", tool=known.tool.name))
    if known.operation is not None:
        found.append(acts.ChooseOperation(act="choose_operation", operation=known.operation))
    if known.wound_in_mm:
        found.append(acts.CompoundWound(act="compound_wound", wound_in_mm=known.wound_in_mm))
    return found + [acts.Clamp(act="clamp", axis=axis, held=held) for axis, held in known.clamped.items()]


def _proved(known: Known) -> list[acts.Act]:
    """What was found of the scales, the oldest first, and the maps in use; the configuration has the rest already."""
    proved = known.proved
    found: list[acts.Act] = [
        acts.FinishCheck(act="finish_check", proof=_with_zero(one, proved)) for one in proved.found
    ]
    mapped = sorted(number for key, number in proved.used.items() if key.startswith("map "))
    return found + [acts.UseProof(act="use_proof", proof=number) for number in mapped]


def _with_zero(one: Found, proved: Proved) -> Proof:
    """The zero of a map is told as it is now: the counts of an earlier start of the board mean nothing."""
    gives = one.proof.gives
    if gives.zero_channel is None:
        return one.proof
    in_use = one.number in proved.used.values()
    zero = proved.zeros.get(gives.zero_channel) if in_use else proved.fresh.get(one.number, (0, None))[1]
    told = {"zero_counts": None} if zero is None else {"zero_counts": zero.counts, "zero_missed": zero.missed}
    return one.proof.model_copy(update={"gives": gives.model_copy(update=told)})


def places_known(engine: Engine) -> list[acts.Act]:
    """Where the tool stands on the axes that are known; none while it moves or is in doubt.

    At rest only: the recording may have got on by a few lines meanwhile.
    """
    datums = [engine.known.datums[axis] for axis in AXES if axis in engine.known.datums]
    if any(engine.reasons(datum.axis) for datum in datums) or not _rests(engine):
        return []
    return [_place(engine, datum) for datum in datums]


def _rests(engine: Engine) -> bool:
    recent = list(engine.place.trail)[-REST_READINGS:]
    return len(recent) == REST_READINGS and all(
        max(sample[place] for sample in recent) - min(sample[place] for sample in recent)
        <= REST_COUNTS * engine.place.count_mm[axis]
        for place, axis in enumerate(AXES, start=1)
    )


def _place(engine: Engine, datum: Datum) -> acts.TouchOff:
    shim_mm = datum.shim_mm if datum.how == "shim" else 0.0
    return acts.TouchOff.model_validate(
        {
            "act": "touch_off", "axis": datum.axis, "how": datum.how, "shim_mm": shim_mm, "where": "clear",
            "at_mm": engine.place.of(datum.axis) - shim_mm,
        }
    )  # fmt: skip
