"""Metal that is mirrored is the same metal: every rule finds the same values on both hands and both faces."""

from __future__ import annotations

from templgen.build.demo import demo_job
from templgen.checks import run_checks
from templgen.job import read_job_text
from templgen.layout import lay_out
from templgen.shapes import ShapeLibrary


def findings(text: str) -> list[tuple[object, ...]]:
    job = read_job_text(text, "job.toml")
    found = run_checks(lay_out(job, ShapeLibrary.standard()), job.accept)
    rounded = [
        tuple(None if v is None else round(v, 6) for v in (f.measured, f.limit, f.doubt)) for f in found
    ]
    keys = [(f.rule, f.verdict.name, f.severity.name, f.feature, f.face, f.count) for f in found]
    return sorted((*key, *map(str, values)) for key, values in zip(keys, rounded, strict=True))


def inward(text: str) -> str:
    """The same numbers read from inside: y then points to the other side of the aircraft."""
    return text.replace('measured_on = "outside"', 'measured_on = "inside"').replace(
        'y = "outboard"', 'y = "inboard"'
    )


def test_measured_inside_or_on_the_other_hand_or_both() -> None:
    text = demo_job("mast").read_text(encoding="utf-8")
    inside = inward(text)
    other_hand = text.replace('hand = "left"', 'hand = "right"\nmeasured_hand = "left"')
    both = inward(other_hand)
    assert len({text, inside, other_hand, both}) == 4
    expected = findings(text)
    assert len(expected) > 40
    assert findings(inside) == expected
    assert findings(other_hand) == expected
    assert findings(both) == expected
