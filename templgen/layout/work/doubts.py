"""What the checks leave open that can make a later step impossible: settled before metal is cut."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from templgen.layout.finding import Finding, Verdict
from templgen.layout.work.model import Stage, Work

__all__ = ["Doubt", "doubt_of", "with_stops"]

_STARTS = frozenset(
    {Stage.MAKE, Stage.SUPPORT, Stage.TAPE, Stage.LOCATE, Stage.PILOT, Stage.CUT, Stage.MATCH}
)
"""The first work that costs metal is among these."""

_LATER: dict[str, tuple[Stage | None, str]] = {
    "ring-can-not-be-fed-in": (Stage.FEED, "a ring of card in a hole of card, with the real room behind it"),
    "box-can-not-come-out": (Stage.COVER, "a box of card with its plugs on, in a hole of card"),
    "lead-too-short": (Stage.CONNECT, "a string as long as the lead, to the box held outside"),
    "hand-does-not-go-in": (None, "your own hand, with its tool, in a hole of card"),
}
"""By rule: the stage that it can make impossible (None: whatever a hand does through the opening), and what
is tried first."""

_OPENS = {
    Verdict.FAIL: "",
    Verdict.DOUBTFUL: "only if the measurement is right: ",
    Verdict.NOT_CHECKED: "could not be checked: ",
}


class Doubt(Struct, frozen=True):
    """A finding that stands, by the number that it has on every sheet."""

    number: int
    rule: str
    feature: str
    words: str

    @property
    def stage(self) -> Stage | None:
        """The stage that it can make impossible; None: whatever a hand does through the opening."""
        return _LATER[self.rule][0]

    @property
    def trial(self) -> str:
        """What is tried before metal is cut."""
        return _LATER[self.rule][1]

    def is_about(self, work: Work, access: str) -> bool:
        """Whether it stops a work, or can make it impossible with its access, in words."""
        if work.stage is Stage.STOP:
            return self.feature == work.feature
        if self.stage is None:
            return f"hand through {self.feature}" in access
        return self.stage is work.stage and self.feature == work.feature


def doubt_of(number: int, finding: Finding) -> Doubt | None:
    """Return a finding as a doubt; None where it passes, is accepted, or makes no later step impossible."""
    if finding.rule not in _LATER or finding.verdict not in _OPENS or finding.accepted is not None:
        return None
    return Doubt(number, finding.rule, finding.feature, f"{_OPENS[finding.verdict]}{finding.message}")


def with_stops(works: Sequence[Work], doubts: Iterable[Doubt]) -> tuple[Work, ...]:
    """Return works in order, with a stop for each feature in doubt before the first that costs metal."""
    first = next((at for at, work in enumerate(works) if work.stage in _STARTS), len(works))
    stops = [
        Work(f"{feature}: stop", Stage.STOP, feature, words=f"the stop before {feature}")
        for feature in dict.fromkeys(doubt.feature for doubt in doubts)
    ]
    return (*works[:first], *stops, *works[first:])
