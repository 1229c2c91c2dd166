"""What a check says, as a value; here, so that checks and sheets share it without knowing each other."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING

from msgspec import Struct

from templgen.errors import Location
from templgen.geometry import Vec

if TYPE_CHECKING:
    from templgen.geometry.leaning import LeaningWay
    from templgen.geometry.passing import Way
    from templgen.geometry.winding import Winding

__all__ = ["Accepted", "Finding", "Severity", "Verdict"]


class Severity(Enum):
    """What a failed check means: an error stops cut files, a warning does not, information never fails."""

    ERROR = "error"
    WARNING = "warning"
    INFORMATION = "information"


class Verdict(Enum):
    """What came out of a check; silence is not among them. What is told for information neither passes nor
    fails."""

    PASS = "pass"  # noqa: S105 - a verdict, no password
    DOUBTFUL = "passes only if the measurement is right"
    FAIL = "fail"
    NOT_APPLICABLE = "not applicable"
    NOT_CHECKED = "could not check"
    TOLD = "for information"


class Accepted(Struct, frozen=True):
    """Who accepted a finding, why, when, and the worst value accepted (mm)."""

    reason: str
    who: str
    when: str
    down_to: float


class Finding(Struct, frozen=True):
    """One result of one rule.

    `measured`, `limit` and `doubt` are in `unit` ("mm" unless said). `feature` is what the builder named,
    `face` the face in which it was checked, `place` the point in that face's plane. `count` says how
    many places it speaks for; `measured` is then the least, or the worst, of them. `way` is how a part goes
    in or comes out, where that is what was found.
    """

    rule: str
    rule_name: str
    severity: Severity
    verdict: Verdict
    message: str
    at: Location
    feature: str = ""
    face: str = ""
    plane: str = ""
    place: Vec | None = None
    measured: float | None = None
    limit: float | None = None
    doubt: float | None = None
    unit: str = "mm"
    cure: str = ""
    source: str = ""
    count: int = 1
    acceptable: bool = True
    accepted: Accepted | None = None
    way: Way | Winding | LeaningWay | None = None

    @property
    def stops_cut_files(self) -> bool:
        """True if no cut file may be written while this stands."""
        return self.verdict is Verdict.FAIL and self.severity is Severity.ERROR and self.accepted is None
