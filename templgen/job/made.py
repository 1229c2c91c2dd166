"""How well things are made: a job says it of the kinds of hole and edge that it has, and of no other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from templgen.errors import JobError
from templgen.job.airframe import FastenerDef, MadeKind
from templgen.job.features import Bore, Bracket, Cutout, FlatPart, HoleSet, Mast, SingleHole
from templgen.job.fields import Node
from templgen.job.model import Job

__all__ = ["made_faults"]

_OF_FASTENER: dict[str, MadeKind] = {"solid rivet": "rivet", "blind rivet": "rivet", "screw": "screw"}
_HAS_EDGES = (Mast, Cutout, FlatPart, Bracket)
_WORDS: dict[MadeKind, str] = {
    "locating": "locating holes",
    "rivet": "rivet holes",
    "screw": "screw holes",
    "hole": "plain round holes",
    "cut": "edges that are cut",
}


def made_faults(job: Job, nodes: Iterable[Node]) -> Iterator[JobError]:
    """Yield a fault for every kind that the job makes and of which it does not say how well.

    Args:
        job: the job, right in form.
        nodes: all its tables.
    """
    users: dict[MadeKind, Node] = {}
    for node in nodes:
        for kind in _kinds(node, job.fastener):
            users.setdefault(kind, node)
    for kind, node in sorted(users.items()):
        if getattr(job.drilled_to, kind) is None:
            line = node.where().line
            yield JobError(
                f"drilled_to says nothing of {kind}, and the job has {_WORDS[kind]} (line {line})",
                at=job.drilled_to.where(),
                hint=f'give how well you make them: {kind} = "0.3 mm" or what you reach',
            )


def _kinds(node: Node, fasteners: dict[str, FastenerDef]) -> Iterator[MadeKind]:
    """The kinds of hole and edge that a table makes."""
    if isinstance(node, HoleSet | SingleHole):
        if node.locating:
            yield "locating"
        used = None if node.fastener is None else fasteners.get(node.fastener)
        if used is not None:
            yield _OF_FASTENER[used.kind]
        if node.diameter is not None:
            yield "hole"
    if isinstance(node, Bore):
        yield "hole"
    if isinstance(node, _HAS_EDGES):
        yield "cut"
    if _is_opening(node):
        yield from ("cut", "rivet", "screw")


def _is_opening(node: Node) -> bool:
    """Whether a table is an opening; its model is not loaded only to ask."""
    kind = type(node)
    return (kind.__module__, kind.__name__) == ("templgen.job.openings", "Opening")
