"""What the sheets of an opening must say: values from memory, defaults that were chosen, the cover's lip."""

from __future__ import annotations

from templgen.job.openings import Opening
from templgen.layout.draft import Draft
from templgen.layout.hardware import Hardware
from templgen.layout.openings.model import Lip
from templgen.trade.nutplates import nutplate_notes
from templgen.units import format_length

__all__ = ["note_opening", "to_check_in_hand"]


def to_check_in_hand(hardware: Hardware) -> tuple[str, ...]:
    """Return a sentence for each thing whose numbers are from memory or that nobody knows."""
    plate = hardware.nutplate
    words = f'nutplate "{plate.name}" for {plate.screw}'
    sentences = []
    if plate.from_memory:
        keys = " and ".join(key.replace("_", " ") for key in plate.from_memory)
        sentences.append(f"{words}: {keys} from memory; check against the part in hand")
    if plate.outline is None:
        sentences.append(f"{words}: its outline is not known; its clearance to ring rivets is not laid out")
    missing = [key for key in ("lug_thickness", "height") if getattr(plate, key) is None]
    if missing:
        keys = " and ".join(key.replace("_", " ") for key in missing)
        sentences.append(f"{words}: {keys} not given; no rivet or screw length can be told")
    return tuple(sentences)


def note_opening(draft: Draft, opening: Opening, hardware: Hardware, lip: Lip | None, ledge: float) -> None:
    """Add to the assembly's notes what every sheet of the opening has to say; `ledge` is 0 under a lying
    cover."""
    for sentence in to_check_in_hand(hardware):
        draft.note(f"{opening.name}: {sentence}")
    if ledge > 0.0:
        draft.note(_placed(draft, opening, ledge))
    if opening.opened == "every flight" and hardware.nutplate.self_locking:
        source = nutplate_notes()[0]
        draft.note(f"{opening.name}: opened at every flight; {source.note} ({source.citation})")
    if lip is not None:
        height, growth, relief = (draft.show(x) for x in (lip.height, lip.blank_growth, lip.relief))
        draft.note(
            f"{opening.name} cover: its lip, bent to the outside, is {height} high from the mold line; its "
            f"blank reaches {growth} beyond the cover's outline. Before it is bent drill the round ends of "
            f"the reliefs, {relief}, and saw down to them; the corners have no lip"
        )
    if opening.hangs is not None and "hand_distance" not in opening.hangs.keys_ and opening.hangs.leads:
        distance = format_length(opening.hangs.hand_distance, draft.job.unit)
        draft.note(f"{opening.name}: the box is held {distance} outside the opening (own default)")


def _placed(draft: Draft, opening: Opening, ledge: float) -> str:
    """How a ring comes to stand even behind its skin hole, and a cover even in it: by numbers, not by eye."""
    shows, gap = draft.show(ledge), opening.cover.gap or 0.0
    strips = (
        f"; strips {draft.show(gap)} thick in its gap, two on each side, hold the cover while it is drilled"
    )
    return (
        f"{opening.name}: the ring shows {shows} all round inside the skin hole. Draw a line on it {shows} "
        "from its inner edge (dashed on its sheet), and a mark for forward; with the line at the edge of the "
        f"skin hole on all sides, measured there, it stands even: clamp it then{strips if gap > 0.0 else ''}"
    )
