"""Work comes after the closing that takes its access.

Rule: Every fastener and every task has its access when its turn comes: both sides for a solid rivet or a
    screw with a loose nut, the side of the head for a blind rivet or a screw into a nutplate, inside for what
    stands on a web, or what the job says. Work goes before each closing that takes its access; where the
    job's own order, or a closing that is done already, puts the closing first, the access is lost.
Why: Nobody bucks a rivet behind a far skin that is on, and a wing is not opened again for one wire.
Bad: A ring with solid rivets on a bay whose far skin is on already.
Good: The same ring with blind rivets, or riveted before the far skin goes on.
Source: Derived from the order that the job gives. What a fastener needs is common practice, no source; the
    job may say otherwise, hole by hole.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.words import counted
from templgen.layout.assembly import Fastener
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.layout.work.access import HAND, OUTSIDE, access_words
from templgen.layout.work.model import Stage, Work
from templgen.layout.work.order import Lost, order_works
from templgen.layout.work.works import closing_order
from templgen.trade.source import Source

DERIVED = Source("the order and the access of the work", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for each work that has lost its access, and one for all that keep it."""
    closings = survey.assembly.closings
    if not closings:
        yield RULE.not_applicable("the job names no closing")
        return
    ordered = closing_order(survey.assembly)
    yield from (_told(survey, lost) for lost in ordered.lost)
    gone = {lost.work.key for lost in ordered.lost}
    kept = [work for work in ordered.works if work.need and work.key not in gone]
    if kept:
        message = (
            f"{counted(len(kept), 'piece')} of work before {counted(len(closings), 'closing')}, or out of "
            "its way"
        )
        yield RULE.found(Verdict.PASS, message, severity=Severity.INFORMATION, count=len(kept))


def _told(survey: Survey, lost: Lost) -> Finding:
    work, closing = lost.work, lost.closing
    need = access_words(work.need)
    between = [each.words for each in lost.chain[1:-1]]
    by = f", by way of {', '.join(between)}" if between else ""
    done = " already" if closing.stage is Stage.CLOSED_BEFORE else ""
    message = f"{work.words}: needs {need}; {closing.words} has taken the {closing.takes}{done}{by}"
    return RULE.found(Verdict.FAIL, message, _subject(survey, work), cure=_cure(survey, work, closing))


def _subject(survey: Survey, work: Work) -> Subject:
    fastener = _first(survey, work)
    if fastener is None:
        return Subject(work.where, work.feature)
    return Subject(work.where, work.feature, fastener.stack[0], fastener.plane, fastener.at)


def _first(survey: Survey, work: Work) -> Fastener | None:
    named = set(work.fasteners[:1])
    return next((each for each in survey.assembly.fasteners if each.name in named), None)


def _cure(survey: Survey, work: Work, closing: Work) -> str:
    """An earlier step always; another fastener or an opening where that gives the access."""
    cures = [] if closing.stage is Stage.CLOSED_BEFORE else [f"do it before {closing.words}"]
    fastener = _first(survey, work)
    sets_it = work.stage in (Stage.FASTEN, Stage.NUTPLATES)
    if fastener is not None and sets_it and closing.takes == "inside":
        if fastener.spec.kind == "solid rivet" and work.need >= OUTSIDE:
            cures.append("take a blind rivet, which is set from outside")
        elif fastener.spec.kind == "screw":
            cures.append("screw it into a nutplate")
    if closing.takes.startswith(HAND):
        cures.append("leave that opening open longer, or use another one")
    elif closing.takes == "inside":
        cures.append('or reach it through a larger opening: access = "hand through NAME"')
    return "; ".join(cures) or f"do it before {closing.words}"


def _example() -> float:
    """A solid rivet (both sides) after a closing that takes the inside: one work has lost its access."""
    need = OUTSIDE | {"inside"}
    works = [Work("rivet", Stage.FASTEN, need=need), Work("far skin", Stage.CLOSE, takes="inside")]
    return float(len(order_works(works, [("far skin", "rivet")], []).lost))


RULE = Rule(
    name="access-lost-by-closing",
    title="Work comes after the closing that takes its access",
    formula="each work before every closing that takes its access",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="do it earlier, take a blind rivet, or reach it through a larger opening",
    example=WorkedExample("works that lose their access: a solid rivet behind a far skin", _example, 1.0, ""),
    func=check,
    acceptable=False,
)
