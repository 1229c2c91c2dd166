"""What every sheet warns about: a short strip, and the whole list on the notes page."""

from __future__ import annotations

__all__ = ["CAUTIONS", "SHORT_CAUTION"]

SHORT_CAUTION = (
    "Drawing aid, not approved data: follow the kit maker's drawings, local rules and a licensed inspector. "
    "Before drilling look behind the skin for fuel, lines and wires. Eye protection; swarf out; deburr all "
    "edges. Findings, cautions: notes."
)
"""Stands on every sheet; it also says where the text of a ringed number is that found no room."""

CAUTIONS: tuple[str, ...] = (
    "This is a drawing aid, not approved data. The builder and the designer answer for the change. Follow "
    "the maker's current drawings and manual first; where they differ from this sheet, they are right.",
    "Ask the authority of your country what this change needs, and a licensed inspector before metal is cut.",
    "Ask the maker before you drill or ream a hole in a critical member: spar caps, attachments, control "
    "supports.",
    "Not for pressurised structure or fuel tanks.",
    "Look behind the skin before you drill: fuel, lines, wires, control cables. Drill with a stop.",
    "Wear eye protection when you drill, cut and deburr. Swarf cuts: brush or vacuum it, never blow it. Tape "
    "round the cut keeps it out of the joints; nothing may stay in the bay.",
    "Old chromate primer is poisonous as dust: wet sanding, a mask, clean hands.",
    "Deburr both faces of every hole and every edge. Break the edges of a cutout. Leave no scratch and no "
    "scribe line in skin that stays: a crack begins there. Mark with a fine marker, not with a pencil.",
    "Drill pilot size with all parts clamped together; part them, drill to size, deburr both faces.",
    "A print is true only if its rulers and crosses are: measure them with a steel rule, in both directions, "
    "before the paper is cut. Print originals, never photocopies. Damp paper grows.",
    "Try the cut in scrap or card first.",
    "Write the change into the aircraft's records: weight, balance, logbook.",
)
