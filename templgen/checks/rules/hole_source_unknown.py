"""A hole is made from something that does not have it.

Rule: A hole says where it comes from: the paper, through a part, or through a nutplate held by its screw. A
    part can guide the drill only if it is in the hole's stack and gets the hole itself first: the skin and
    made parts from their own sheets, structure only if its hole is there already. The paper shows holes of
    the skin and of made parts. A nutplate guides the drill for its own lug rivets, not for the screw that
    holds it.
Why: A drill without a guide wanders, and the hole that was promised to match does not.
Bad: A hole of skin and doubler that is made through a rib clip which it does not pass.
Good: The same hole made through the doubler, whose sheet shows it.
Source: Derived from the stack of each hole.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.words import counted, hole_name
from templgen.job.names import THROUGH_NUTPLATE
from templgen.layout.assembly import Assembly, Fastener, Part
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.source import Source

DERIVED = Source("the stack of the hole", derived=True)
PAPER = "paper"
THROUGH = "through "


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for each hole set with an unknown source, and one for all others."""
    assembly = survey.assembly
    drilled = [fastener for fastener in assembly.fasteners if not fastener.exists]
    if not drilled:
        yield RULE.not_applicable("no hole is drilled")
        return
    lugs = {name for opening in assembly.openings for plate in opening.nutplates for name in plate.rivets}
    faults: dict[tuple[str, str], list[Fastener]] = {}
    reasons: dict[tuple[str, tuple[str, ...], bool], str] = {}
    for fastener in drilled:
        key = (fastener.made_from or PAPER, fastener.stack, fastener.name in lugs)
        if key not in reasons:
            reasons[key] = _fault(key[0], _stack(assembly, fastener), key[2])
        if reasons[key]:
            faults.setdefault((fastener.group, reasons[key]), []).append(fastener)
    for (_, reason), group in faults.items():
        yield _told(survey, group, reason)
    sound = len(drilled) - sum(map(len, faults.values()))
    if sound:
        message = f"{counted(sound, 'hole')}: each is made from something that has it first"
        yield RULE.found(Verdict.PASS, message, severity=Severity.INFORMATION, count=sound)


def _stack(assembly: Assembly, fastener: Fastener) -> list[Part]:
    return [assembly.parts[assembly.faces[name].part] for name in fastener.stack]


def _fault(source: str, stack: Sequence[Part], is_lug: bool) -> str:
    """What is wrong with the source of a hole; "" where nothing is."""
    if source == THROUGH_NUTPLATE:
        return "" if is_lug else "no nutplate stands over it"
    if source == PAPER:
        shown = any(part.made or part.kind == "skin" for part in stack)
        return "" if shown else "no paper shows it: neither the skin nor a made part is in its stack"
    name = source.removeprefix(THROUGH)
    guide = next((part for part in stack if part.name == name), None)
    if guide is None:
        return f"{name} is not in its stack ({', '.join(part.name for part in stack)})"
    is_there = not guide.made and guide.kind == "structure"
    return f"{name} is there already and has no such hole: nobody drills it first" if is_there else ""


def _told(survey: Survey, group: list[Fastener], reason: str) -> Finding:
    first = group[0]
    face = survey.assembly.faces[first.stack[0]].name
    on = Subject(first.where, first.feature, face, first.plane, first.at)
    more = f" and {len(group) - 1} more" if len(group) > 1 else ""
    message = f'{hole_name(first)}{more}: made from "{first.made_from or PAPER}", but {reason}'
    stack = _stack(survey.assembly, first)
    guides = [f'"{THROUGH}{part.name}"' for part in stack if part.kind != "structure"]
    return RULE.found(
        Verdict.FAIL,
        message,
        on,
        cure=f"made_from = {' or '.join(guides)}" if guides else "name a made part in its stack",
        count=len(group),
    )


def _example() -> float:
    """A hole of skin and doubler that is made through a rib clip."""
    stack = [
        Part("skin", ("skin",), made=False, kind="skin"),
        Part("doubler", ("doubler",), made=True, kind="flat part", side="inside"),
    ]
    sources = (PAPER, "through doubler", "through rib clip")
    return float(sum(bool(_fault(source, stack, False)) for source in sources))


RULE = Rule(
    name="hole-source-unknown",
    title="A hole is made from something that does not have it",
    formula="the part that guides the drill is in the stack and is drilled first",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="name a part of the stack that is drilled first",
    example=WorkedExample(
        "of paper, doubler and rib clip, how many can not guide the drill", _example, 1.0, ""
    ),
    func=check,
    acceptable=False,
)
