"""From [[existing]] and [[distance]] of a job file to the fit and the targets on the sheet."""

from __future__ import annotations

import pytest

from templgen.checks import run_checks
from templgen.drawing import Meaning
from templgen.errors import JobFaults
from templgen.geometry import Motion, Vec
from templgen.layout.alignment import Alignment
from templgen.layout.finding import Verdict
from tests.unit.sheets.support import DEMO, built, circles, judged, texts

DATUM = Motion.rotation(20).then(Motion.translation(Vec(300.0, -80.0)))


def hole(name: str, target: str, spot: tuple[float, float], off: tuple[float, float] = (0, 0)) -> str:
    """One hole, measured from another datum; places in inches as in the demo, `off` in mm."""
    at = DATUM.apply(Vec(spot[0] * 25.4, spot[1] * 25.4)) + Vec(*map(float, off))
    return f'[[existing]]\nname = "{name}"\n{target}\nat = ["{at.x:.6f} mm", "{at.y:.6f} mm"]\n'


A = hole("A", 'target = "rib 7 R3"', (3.0, 0.0))
B = hole("B", 'target = "R8"', (8.0, 0.0))
C = hole("C", 'place = { from = "rib 7", along = 4.0, off = 4.7 }', (4.0, 4.7))
D = hole("D", "place = { x = 8.5, y = 4.0 }", (8.5, 4.0))


def of(*parts: str) -> Alignment:
    alignment = judged("\n".join([DEMO, *parts]))[1].alignment
    assert alignment is not None
    return alignment


def test_a_turned_datum_is_found() -> None:
    found = of(A, B, C)
    assert found.state == "fits"
    assert found.turn == pytest.approx(20, abs=1e-5)
    assert found.shift.distance_to(Vec(300, -80)) < 1e-4
    for each in found.holes:
        assert each.place.distance_to(each.hole.target) < 1e-4


def test_targets_are_drawn_where_the_holes_were_measured() -> None:
    off = hole("A", 'target = "rib 7 R3"', (3.0, 0.0), (0.4, 0.2))
    text = "\n".join([DEMO, off, B, C])
    found = of(off, B, C)
    template = built(text)[0]
    assert any("not by an edge" in line for line in texts_of(text))
    drawn = [item for item in circles(template.drawing, Meaning.EXISTING) if item.name == "target"]
    places = [each.place for each in found.targets]
    gaps = sorted(a.centre.distance_to(b.centre) for a in drawn for b in drawn)
    for one in places:
        for other in places:
            assert min(abs(gap - one.distance_to(other)) for gap in gaps) < 1e-6
    assert places[0].distance_to(found.holes[0].hole.target) > 0.1


def texts_of(text: str) -> list[str]:
    """The words of all sheets, lines joined, so that breaks do not matter."""
    return [" ".join(texts(sheet.drawing)) for sheet in built(text)]


def test_a_hole_that_was_measured_wrong_is_named_and_left_out() -> None:
    wrong = hole("D", "place = { x = 8.5, y = 4.0 }", (8.5, 4.0), (6.0, -5.0))
    found = of(A, B, C, wrong)
    assert found.state == "measured wrong"
    assert [each.hole.name for each in found.targets] == ["A", "B", "C"]
    assert found.suspects == (("D",),)
    assert found.turn == pytest.approx(20, abs=1e-5)


def test_a_job_without_measured_holes_has_no_alignment() -> None:
    job, assembly, _ = judged(DEMO)
    assert assembly.alignment is None
    found = [each for each in run_checks(assembly, job.accept) if each.rule == "existing-hole-does-not-fit"]
    assert [each.verdict for each in found] == [Verdict.NOT_APPLICABLE]


def test_distances_alone_fix_three_holes() -> None:
    names = {"A": 'target = "R3"', "B": 'target = "R8"', "S": 'target = "main spar R17"'}
    holes = "".join(f'[[existing]]\nname = "{name}"\n{target}\n' for name, target in names.items())
    spots = {each.name: each.at for each in judged(DEMO)[1].fasteners}
    ends = {"A": spots["R3"], "B": spots["R8"], "S": spots["R17"]}
    pairs = [("A", "B"), ("A", "S"), ("B", "S")]
    lengths = "".join(
        f'[[distance]]\nfrom = "{a}"\nto = "{b}"\nis = "{ends[a].distance_to(ends[b]):.6f} mm"\n'
        for a, b in pairs
    )
    found = of(holes, lengths)
    assert found.state == "fits"
    for each in found.holes:
        assert each.place.distance_to(each.hole.target) < 1e-4


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (hole("A", 'target = "rib 9 R3"', (3, 0)), "no rivet or hole in the skin is called"),
        (hole("A", 'target = "main spar R3"', (3, 0)), "R3 is of rib 7"),
        (hole("A", 'target = "mast"', (3, 0)), "it has several"),
        (A + hole("B", 'target = "R3"', (3, 0)), "have the same target"),
        (A + A, "two existing holes are called"),
        ('[[existing]]\nname = "A"\ntarget = "R3"\n', "was not measured"),
        (hole("A", "", (3, 0)), "has a target or a place; neither is given"),
        (A + '[[distance]]\nfrom = "A"\nto = "Z"\nis = 3\n', "no [[existing]] hole is called"),
        (A + '[[distance]]\nfrom = "A"\nto = "A"\nis = 3\n', "to itself"),
    ],
)
def test_what_can_not_be_is_refused_with_its_place(more: str, words: str) -> None:
    with pytest.raises(JobFaults) as caught:
        judged(f"{DEMO}\n{more}")
    told = str(caught.value)
    assert words in told
    assert "test.toml:" in told


def test_inside_and_outside_measures_agree() -> None:
    """Measured on the inside the datum's frame is seen mirrored, as the job's own is: the fit is the same."""
    inside = DEMO.replace('measured_on = "outside"', 'measured_on = "inside"')
    found = judged("\n".join([inside, A, B, C]))[1].alignment
    assert found is not None
    assert found.state == "fits"
    assert found.turn == pytest.approx(-20, abs=1e-5)
