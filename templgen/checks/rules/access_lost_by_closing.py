"""Work comes after the closing that takes its access.

Rule: Every fastener and every task has its access when its turn comes: both sides for a solid rivet or a
    screw with a loose nut, the side of the head for a blind rivet or a screw into a nutplate, inside for what
    stands on a web, or what the job says. A part behind the skin is put in place, clamped, parted and
    deburred from inside, whatever its fasteners need, or by a hand through an opening that it passes. Work
    goes before each closing that takes its access; where the job's own order, or a closing that is done
    already, puts the closing first, the access is lost.
Why: Nobody bucks a rivet behind a far skin that is on, and a wing is not opened again for one wire.
Bad: A ring with solid rivets, or a base plate inside, on a bay whose far skin is on already.
Good: The ring with blind rivets, the plate outside with them, or both done before the far skin goes on.
Source: Derived from the order that the job gives. What a fastener needs is common practice, no source; the
    job may say otherwise, hole by hole. That a part passes no opening is said only with a proof.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.words import both, counted
from templgen.layout.assembly import Fastener
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.layout.openings.model import OpeningSet
from templgen.layout.work.access import HAND, OUTSIDE, access_words, lies_inside, need_to_place
from templgen.layout.work.marks import listed
from templgen.layout.work.model import Stage, Work
from templgen.layout.work.order import Lost, order_works
from templgen.trade.source import Source

DERIVED = Source("the order and the access of the work", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for each work that has lost its access, and one for all that keep it."""
    closings = survey.assembly.closings
    if not closings:
        yield RULE.not_applicable("the job names no closing")
        return
    ordered = survey.work_order
    grouped: dict[tuple[str, str], list[Lost]] = {}
    for lost in ordered.lost:
        behind = _parts_behind(survey, lost)
        key = (lost.closing.key, lost.work.feature if behind else lost.work.key)
        grouped.setdefault(key, []).append(lost)
    for group in grouped.values():
        yield _told_of_parts(survey, group) if len(group) > 1 else _told(survey, group[0])
    yield from _too_large(survey)
    gone = {lost.work.key for lost in ordered.lost}
    kept = [work for work in ordered.works if work.need and work.key not in gone]
    if kept:
        message = (
            f"{counted(len(kept), 'piece')} of work before {counted(len(closings), 'closing')}, or out of "
            "its way"
        )
        yield RULE.found(Verdict.PASS, message, severity=Severity.INFORMATION, count=len(kept))


def _parts_behind(survey: Survey, lost: Lost) -> tuple[str, ...]:
    """The parts that a work puts in place behind the skin, where the closing ends their way in."""
    assembly = survey.assembly
    named = set(lost.work.fasteners)
    drilled = [
        each
        for each in assembly.fasteners
        if not each.exists and (each.name in named or (not named and each.feature == lost.work.feature))
    ]
    waiting = [each for each in drilled if lost.closing.takes in need_to_place(assembly, [each])]
    parts = [assembly.parts[assembly.faces[face].part] for each in waiting for face in each.stack]
    return tuple(dict.fromkeys(part.name for part in parts if lies_inside(part)))


def _told_of_parts(survey: Survey, group: Sequence[Lost]) -> Finding:
    """One result for all work on parts that can not get behind the skin any more."""
    work, closing = group[0].work, group[0].closing
    names = list(dict.fromkeys(part for lost in group for part in _parts_behind(survey, lost)))
    done = " already" if closing.stage is Stage.CLOSED_BEFORE else ""
    works = ", ".join(lost.work.words.removesuffix(f" of {work.feature}") for lost in group)
    message = (
        f"{listed(names)} of {work.feature} can not be put in place, clamped or deburred behind the skin: "
        f"{closing.words} has taken the {closing.takes}{done} ({works})"
    )
    cure = "; or ".join(_cures_of_parts(survey, names, closing))
    return RULE.found(Verdict.FAIL, message, _subject(survey, work), cure=cure, count=len(group))


def _cures_of_parts(survey: Survey, names: Sequence[str], closing: Work) -> Iterator[str]:
    if closing.stage is not Stage.CLOSED_BEFORE:
        yield f"do it before {closing.words}"
    if closing.takes.startswith(HAND):
        yield "leave that opening open longer, or use another one"
        return
    if all(survey.assembly.parts[name].kind != "bracket" for name in names):
        yield f'lay {listed(names)} on the outside (side = "outside") with blind rivets'
    yield 'put it in by hand through an opening that it passes: access = "hand through NAME" at its holes'


def _too_large(survey: Survey) -> Iterator[Finding]:
    """One result for each part that is to go in by hand through an opening that it can not pass."""
    for (name, access), fastener in _by_hand(survey).items():
        from templgen.geometry.passing import why_impossible  # numpy: only where a part goes in by hand
        from templgen.geometry.plate import Plate

        face, opening = survey.assembly.faces[name], _opening_of(survey, access)
        if opening is None or name in opening.ring_faces or face.outline is None:
            continue
        bound = why_impossible(Plate(face.outline.outer, face.thickness), opening.skin_hole, None)
        if bound is not None:
            yield RULE.found(
                Verdict.FAIL,
                f"{face.part} is to go in by a {access}, and can not: it is {both(bound.needed)} across "
                f"where it is narrowest, the opening is nowhere wider than {both(bound.given)}",
                Subject(fastener.where, fastener.feature, name, fastener.plane, fastener.at),
                measured=bound.given,
                limit=bound.needed,
                cure="put it in before the inside is closed, through a larger opening, or lay it outside",
            )


def _by_hand(survey: Survey) -> dict[tuple[str, str], Fastener]:
    """The faces of parts that go in by a hand through an opening, each with its first fastener."""
    assembly = survey.assembly
    asked: dict[tuple[str, str], Fastener] = {}
    for fastener in assembly.fasteners:
        if fastener.exists or fastener.access not in need_to_place(assembly, [fastener]):
            continue
        for name in fastener.stack:
            if lies_inside(assembly.parts[assembly.faces[name].part]):
                asked.setdefault((name, fastener.access), fastener)
    return asked


def _opening_of(survey: Survey, access: str) -> OpeningSet | None:
    return next((each for each in survey.assembly.openings if HAND + each.name == access), None)


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
    sets_it = work.stage in (Stage.FASTEN, Stage.NUTPLATES_IN_PLACE)
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
