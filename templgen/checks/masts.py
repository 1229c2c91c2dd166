"""Masts and what their own rules look up."""

from __future__ import annotations

from templgen.checks.rule import Subject
from templgen.layout.assembly import SKIN_PLANE, Assembly, Cutout, MastFit

__all__ = ["cut_face", "cutout_of", "on_mast"]


def cutout_of(assembly: Assembly, mast: MastFit) -> Cutout | None:
    """Return the cutout through which a mast goes; None if it was not laid out."""
    return next((cutout for cutout in assembly.cutouts if cutout.name == mast.cutout), None)


def on_mast(mast: MastFit, face: str) -> Subject:
    """Return a mast, in one face, as the subject of a finding."""
    return Subject(mast.where, mast.name, face, SKIN_PLANE, mast.centre)


def cut_face(cutout: Cutout) -> str:
    """Return the face in which a cutout is judged: the outermost it passes."""
    return cutout.faces[0] if cutout.faces else ""
