"""What a person told the guide that no scale can show, for as long as it holds.

A part of what is known. Each answer ends with what makes it stale: another bar, another pass, another operation.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from waytell.documents import acts
from waytell.documents.guide import GuideState
from waytell.documents.state import Pass


@dataclass(slots=True)
class Answers:
    heeded: bool = False
    """The cautions were gone through with this work in the chuck."""
    spun: bool = False
    """It was turned by hand and spun slowly."""
    out: bool = False
    """The part is done: what the chuck holds is the old one, or nothing."""
    newest: Pass | None = None
    """The newest pass, where the operation in use was it."""
    clean: bool | None = None
    """Whether that face is clean all over; None until it was looked at."""
    reference: bool = False
    """Z was touched off on that face: it is the one that lengths count from."""
    size: acts.Measured | None = None
    """What was measured after the newest pass of the operation."""
    sized: bool = False
    """That pass was measured, or touched off by its size."""
    not_so: set[GuideState] = field(default_factory=set)
    """What the guide is to pass over until something happens."""

    @property
    def faced(self) -> bool:
        """A face was cut last."""
        return self.newest is not None and self.newest.kind == "facing"

    def answered(self, act: acts.Answer) -> None:
        if act.to == "cautions" and act.yes:
            self.heeded = True
        elif act.to == "slow_spin" and act.yes:
            self.spun = True
        elif act.to == "face_clean":
            self.clean = act.yes
        elif not act.yes:
            self.not_so.add(act.to)

    def chucked(self) -> None:
        self.begun()
        self.heeded = self.spun = self.out = False

    def passed(self, passed: Pass, operation: acts.Operation | None) -> None:
        """Who cuts has work in the chuck, and the spindle ran."""
        self.begun()
        self.out = False
        if operation is not None and passed.operation == operation.name:
            self.newest = passed

    def begun(self) -> None:
        """Another operation, or another pass: what was said of the one before holds no longer."""
        self.newest, self.clean, self.reference = None, None, False
        self.size, self.sized = None, False
        self.not_so.clear()

    def measured(self, act: acts.Measured, operation: acts.Operation | None) -> None:
        if operation is not None and act.operation == operation.name:
            self.size, self.sized = act, True
            self.not_so.clear()

    def touched(self, act: acts.TouchOff) -> None:
        self.not_so.clear()
        if act.axis == "Z" and act.where == "last_pass" and self.faced:
            self.reference = True
        if act.where == "last_pass" and act.how == "measured":
            # The readout was set right by that size: what is left is told anew.
            self.size, self.sized = None, True

    def sized_anew(self) -> None:
        """The size to reach is another one."""
        self.size, self.sized = None, False
        self.not_so.clear()

    def done(self) -> None:
        self.begun()
        self.out = True
