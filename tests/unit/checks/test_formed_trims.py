"""An edge that a trim calls formed, of a bend that nobody knows, is asked for no less than a free one."""

from __future__ import annotations

from templgen.build.demo import demo_job
from templgen.checks import run_checks
from templgen.job import library_for, read_job_text
from templgen.layout import lay_out
from templgen.layout.finding import Verdict

BUTTING = 'set_back = "1/32 in" }]\nedge = "butting"'


def test_holes_beside_a_formed_trim_keep_the_edge_distance_of_a_free_edge() -> None:
    text = demo_job().read_text(encoding="utf-8")
    assert BUTTING in text
    changed = text.replace(BUTTING, 'set_back = 0.287 }]\nedge = "formed"')
    assembly = lay_out(read_job_text(changed, "formed.toml"), library_for(demo_job()))
    findings = [each for each in run_checks(assembly) if each.face == "base plate"]
    near = [each for each in findings if each.rule == "hole-too-near-edge" and each.stops_cut_files]
    assert sum(each.count for each in near) >= 6
    assert all("trimmed edge" in each.message for each in near if "hole 9" not in each.message)
    unknown = [each for each in findings if each.rule == "hole-too-near-bend"]
    assert [each.verdict for each in unknown] == [Verdict.NOT_CHECKED]
