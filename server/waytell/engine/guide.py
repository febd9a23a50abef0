"""The one next physical move, in one line with its number, and why.

A table of states read from the top: the first whose rule finds something to say speaks. What it looks at is where the
slides are, what was cut and what was told, so it recovers by itself when the person does something else; one key says
that it is wrong, and it never blocks.
"""

from __future__ import annotations

from waytell.documents.guide import Guide, GuideState, Reply
from waytell.engine.guide_begin import RULES as BEGIN
from waytell.engine.guide_begin import TROUBLE
from waytell.engine.guide_pass import DEPTH, FEEDING
from waytell.engine.guide_situation import Rule, Situation
from waytell.engine.guide_size import RULES as SIZE

RULES: dict[GuideState, Rule] = TROUBLE | BEGIN | FEEDING | SIZE | DEPTH
NOT_SO = "Not so"
NO_WORDS: dict[GuideState, str] = {"face_clean": "Not yet", "new_face": "Leave Z as it is"}
FIRM = frozenset(TROUBLE) | {"past_end"}
"""What stands until its cause is mended: nobody can have it passed over."""


def guide(s: Situation) -> Guide:
    for state, rule in RULES.items():
        if state in s.answers.not_so and state not in FIRM:
            continue
        said = rule(s)
        if said is not None:
            no = None if state in FIRM else NO_WORDS.get(state, NOT_SO)
            return Guide(state=state, move=said.move, why=said.why, yes=_reply(state, said.yes), no=no)
    return Guide(state="free", move="Wind as you need: the figures follow.", why="Nothing else is known to be next.")


def _reply(state: GuideState, yes: Reply | str | None) -> Reply | None:
    """Words alone answer the state itself."""
    if isinstance(yes, str):
        return Reply(words=yes, act={"act": "answer", "to": state, "yes": True})
    return yes
