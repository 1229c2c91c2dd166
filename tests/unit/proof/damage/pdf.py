"""Damage to PDF files: to the content of the first page, and to the document."""

from __future__ import annotations

import re
from collections.abc import Callable
from io import BytesIO
from typing import Any

import pikepdf

from templgen.proof.difference import Kind
from tests.unit.proof.damage import Damage, Dice

__all__ = ["DAMAGES", "rewritten"]

NUMBER = r"-?[\d.]+"
HOLE = re.compile(rf"(?m)^({NUMBER} {NUMBER}) m(?: {NUMBER}){{6}} c(?:(?: {NUMBER}){{6}} c){{7}} h S$")
OUTLINE = re.compile(r"(?m)^.* l .* c .* h S$")
LINE = re.compile(rf"(?m)^{NUMBER} {NUMBER} m {NUMBER} {NUMBER} l S$")
WORDS = re.compile(r"(?m)^BT .* ET$")
FILLED = re.compile(r"(?m)^.* h f$")
DASHED = re.compile(r"(?m)^\[[\d. ]+\] 0 d$")


def document(change: Callable[[Any, Dice], None], **saved: Any) -> Callable[[bytes, Dice], bytes]:
    """Return what makes a change to an open document."""

    def do(data: bytes, dice: Dice) -> bytes:
        buffer = BytesIO()
        with pikepdf.open(BytesIO(data)) as opened:
            change(opened, dice)
            opened.save(buffer, **saved)
        return buffer.getvalue()

    return do


def rewritten(data: bytes) -> bytes:
    """Return a document as another program would write it, its streams packed anew."""
    return document(
        lambda opened, dice: None,
        compress_streams=True,
        recompress_flate=True,
        object_stream_mode=pikepdf.ObjectStreamMode.generate,
    )(data, Dice(0))


def content(change: Callable[[str, Dice], str]) -> Callable[[bytes, Dice], bytes]:
    """Return what makes a change to the content of the first page."""

    def do(opened: Any, dice: Dice) -> None:
        page = opened.pages[0]
        before = page.Contents.read_bytes().decode("latin-1")
        after = change(before, dice)
        assert after != before, "nothing was changed"
        page.Contents = opened.make_stream(after.encode("latin-1"))

    return document(do)


def hit(pattern: re.Pattern[str], change: Callable[[str, Dice], str]) -> Callable[[bytes, Dice], bytes]:
    """Return what changes one of the places that a pattern finds."""

    def do(before: str, dice: Dice) -> str:
        found = dice.choice(list(pattern.finditer(before)))
        return before[: found.start()] + change(found[0], dice) + before[found.end() :]

    return content(do)


def placed(a: float, b: float, c: float, d: float, e: float, f: float) -> Callable[[bytes, Dice], bytes]:
    """Return what puts a matrix before everything; e and f in points."""
    return content(lambda before, dice: f"{a} {b} {c} {d} {e} {f} cm\n{before}")


def everywhere(opened: Any, dice: Dice) -> None:
    for page in opened.pages:
        page.Contents = opened.make_stream(b"0.97 0 0 0.97 0 0 cm\n" + page.Contents.read_bytes())


def moved(dx: float, dy: float) -> Callable[[str, Dice], str]:
    """Return what moves every place of a path, in mm."""

    def change(path: str, dice: Dice) -> str:
        pair = re.compile(rf"({NUMBER}) ({NUMBER})")
        return pair.sub(lambda m: f"{float(m[1]) + dx:.5f} {float(m[2]) + dy:.5f}", path)

    return change


def larger(by: float) -> Callable[[str, Dice], str]:
    """Return what makes a circle larger about its middle, in mm of its radius."""

    def change(path: str, dice: Dice) -> str:
        places = [(float(x), float(y)) for x, y in re.findall(rf"({NUMBER}) ({NUMBER})", path)]
        right, left = max(x for x, _ in places), min(x for x, _ in places)
        x, y, ratio = (right + left) / 2, places[0][1], 1 + by / ((right - left) / 2)
        pair = re.compile(rf"({NUMBER}) ({NUMBER})")
        return pair.sub(
            lambda m: f"{x + ratio * (float(m[1]) - x):.5f} {y + ratio * (float(m[2]) - y):.5f}", path
        )

    return change


def as_chords(path: str, dice: Dice) -> str:
    """Every curve becomes chords over its thirds."""
    steps: list[str] = []
    here = (0.0, 0.0)
    for numbers, letter in re.findall(rf"((?:{NUMBER} )*)([mlchS])", path):
        values = [float(value) for value in numbers.split()]
        if letter == "c":
            x, y = values[0::2], values[1::2]
            for i in (1, 2, 3):
                t, u = i / 3, 1 - i / 3
                weights = (3 * u * u * t, 3 * u * t * t, t**3)
                px = u**3 * here[0] + sum(w * v for w, v in zip(weights, x, strict=True))
                py = u**3 * here[1] + sum(w * v for w, v in zip(weights, y, strict=True))
                steps.append(f"{px:.5f} {py:.5f} l")
        else:
            steps.append(f"{numbers}{letter}")
        if values:
            here = (values[-2], values[-1])
    return " ".join(steps)


def nudged(amount: float, nth: int) -> Callable[[str, Dice], str]:
    """Return what changes the n-th number of a path."""

    def change(path: str, dice: Dice) -> str:
        found = list(re.finditer(NUMBER, path))[nth]
        return f"{path[: found.start()]}{float(found[0]) + amount:.5f}{path[found.end() :]}"

    return change


def bent(path: str, dice: Dice) -> str:
    """Move the first control point of a curve."""
    first = re.compile(rf"(l|c) ({NUMBER})(?=(?: {NUMBER}){{5}} c)")
    return first.sub(lambda m: f"{m[1]} {float(m[2]) + 0.05:.5f}", path, count=1)


def sub(pattern: str, by: str) -> Callable[[str, Dice], str]:
    return lambda found, dice: re.sub(pattern, by, found, count=1)


def word_place(words: str, dice: Dice) -> str:
    """Move words 0.05 mm to the right."""
    return re.sub(
        rf"({NUMBER}) ({NUMBER}) Tm /", lambda m: f"{float(m[1]) + 0.05:.4f} {m[2]} Tm /", words, count=1
    )


def word_size(words: str, dice: Dice) -> str:
    return re.sub(rf"({NUMBER}) Tf", lambda m: f"{float(m[1]) * 1.01:.6f} Tf", words, count=1)


def gone(found: str, dice: Dice) -> str:
    return ""


def twice(found: str, dice: Dice) -> str:
    return f"{found}\n{found}"


def before(text: str) -> Callable[[str, Dice], str]:
    """Return what puts operators before a place, and undoes them after it."""
    return lambda found, dice: f"q {text}\n{found}\nQ"


def box(name: str, values: list[float] | None) -> Callable[[bytes, Dice], bytes]:
    def change(opened: Any, dice: Dice) -> None:
        page = opened.pages[0]
        if values is None:
            del page[name]
        else:
            page[name] = pikepdf.Array(values)

    return document(change)


def a4(opened: Any, dice: Dice) -> None:
    for name in ("/MediaBox", "/CropBox", "/TrimBox"):
        opened.pages[0][name] = pikepdf.Array([0, 0, 595.276, 841.89])


def off_origin(opened: Any, dice: Dice) -> None:
    for name in ("/MediaBox", "/CropBox", "/TrimBox"):
        opened.pages[0][name] = pikepdf.Array([-10, 0, 602, 792])


def page_key(name: str, value: Any) -> Callable[[bytes, Dice], bytes]:
    return document(lambda opened, dice: setattr(opened.pages[0].obj, name, value))


def no_print_scaling(opened: Any, dice: Dice) -> None:
    del opened.Root.ViewerPreferences.PrintScaling


def page_lost(opened: Any, dice: Dice) -> None:
    del opened.pages[1]


def page_added(opened: Any, dice: Dice) -> None:
    opened.pages.append(opened.pages[0])


def info(name: str, value: str) -> Callable[[bytes, Dice], bytes]:
    def change(opened: Any, dice: Dice) -> None:
        opened.docinfo[name] = value

    return document(change)


def fonts(change: Callable[[Any], None]) -> Callable[[bytes, Dice], bytes]:
    def do(opened: Any, dice: Dice) -> None:
        for font in opened.pages[0].Resources.Font.values():
            change(font)

    return document(do)


def not_embedded(font: Any) -> None:
    if "/FontFile2" in font.FontDescriptor:
        del font.FontDescriptor["/FontFile2"]


def widened(font: Any) -> None:
    font.Widths = pikepdf.Array([float(width) * 1.02 for width in font.Widths])


def renamed(font: Any) -> None:
    font.BaseFont = pikepdf.Name("/Sans")


def other_letters(font: Any) -> None:
    """Give every letter the name of its neighbour, as a viewer would copy it."""
    table = font.ToUnicode.read_bytes().decode("latin-1")
    font.ToUnicode.write(re.sub(r"<006C>", "<0049>", table).encode("latin-1"))


def annotated(opened: Any, dice: Dice) -> None:
    note = pikepdf.Dictionary(Type=pikepdf.Name.Annot, Subtype=pikepdf.Name.Text, Rect=[0, 0, 9, 9])
    opened.pages[0].Annots = pikepdf.Array([note])


def pictured(opened: Any, dice: Dice) -> None:
    page = opened.pages[0]
    values = {"Type": pikepdf.Name.XObject, "Subtype": pikepdf.Name.Image, "Width": 1, "Height": 1}
    page.Resources.XObject = pikepdf.Dictionary(Im1=opened.make_stream(b"\0", **values))
    page.Contents = opened.make_stream(page.Contents.read_bytes() + b"\n/Im1 Do")


def pale(opened: Any, dice: Dice) -> None:
    page = opened.pages[0]
    page.Resources.ExtGState = pikepdf.Dictionary(Pale=pikepdf.Dictionary(CA=0.1, ca=0.1))
    page.Contents = opened.make_stream(b"/Pale gs\n" + page.Contents.read_bytes())


def stamped(opened: Any, dice: Dice) -> None:
    """Put a stamp over the page, as a form of its own."""
    page = opened.pages[0]
    values = {"Type": pikepdf.Name.XObject, "Subtype": pikepdf.Name.Form, "BBox": [0, 0, 99, 99]}
    page.Resources.XObject = pikepdf.Dictionary(Fm1=opened.make_stream(b"0 0 m 50 50 l S", **values))
    page.Contents = opened.make_stream(page.Contents.read_bytes() + b"\n/Fm1 Do")


def as_a_form(opened: Any, dice: Dice) -> None:
    """Put the whole page into a form whose box is smaller than the page."""
    page = opened.pages[0]
    values = {"Type": pikepdf.Name.XObject, "Subtype": pikepdf.Name.Form, "BBox": [0, 0, 300, 400]}
    form = opened.make_stream(page.Contents.read_bytes(), Resources=page.Resources, **values)
    page.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(Fm1=form))
    page.Contents = opened.make_stream(b"/Fm1 Do")


def layered(opened: Any, dice: Dice) -> None:
    """Put the whole page on a layer that is switched off."""
    page = opened.pages[0]
    layer = opened.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name="lines"))
    opened.Root.OCProperties = pikepdf.Dictionary(OCGs=[layer], D=pikepdf.Dictionary(OFF=[layer]))
    page.Resources.Properties = pikepdf.Dictionary(MC0=layer)
    page.Contents = opened.make_stream(b"/OC /MC0 BDC\n" + page.Contents.read_bytes() + b"\nEMC")


def wide_by_state(opened: Any, dice: Dice) -> None:
    page = opened.pages[0]
    page.Resources.ExtGState = pikepdf.Dictionary(Wide=pikepdf.Dictionary(LW=9))
    page.Contents = opened.make_stream(page.Contents.read_bytes() + b"\n/Wide gs")


def locked(data: bytes, dice: Dice) -> bytes:
    return document(lambda opened, dice: None, encryption=pikepdf.Encryption(owner="a", user="b"))(data, dice)


DAMAGES = (
    Damage("scaled", placed(1.0394, 0, 0, 1.0394, 0, 0), Kind.SCALE, "1.0394 in x and y"),
    Damage("scaled a little", placed(1.0002, 0, 0, 1.0002, 0, 0), Kind.SCALE, "1.0002"),
    Damage("all pages scaled", document(everywhere), Kind.SCALE, "every page: the whole file is scaled 0.97"),
    Damage("fit to page", placed(0.955, 0, 0, 0.955, 14, 18), Kind.SCALE, "fit-to-page"),
    Damage("one axis scaled", placed(1, 0, 0, 0.996, 0, 0), Kind.SCALE, "one axis only"),
    Damage("slanted", placed(1, 0, 0.002, 1, 0, 0), Kind.SCALE, "slanted"),
    Damage("mirrored", placed(-1, 0, 0, 1, 612, 0), Kind.MIRROR, "the other hand"),
    Damage("turned", placed(0, 1, -1, 0, 612, 0), Kind.TURN, "90 degrees counter-clockwise"),
    Damage("half round", placed(-1, 0, 0, -1, 612, 792), Kind.TURN, "180 degrees"),
    Damage("shifted", placed(1, 0, 0, 1, 72, 0), Kind.SHIFT, "25.40 mm (1.000 in) to the right"),
    Damage("shifted a little", placed(1, 0, 0, 1, 0.02, 0), Kind.SHIFT, "0.0071 mm"),
    Damage("shown turned", page_key("Rotate", 90), Kind.UNREAD, "turned by 90 degrees"),
    Damage("unit of its own", page_key("UserUnit", 2), Kind.UNREAD, "a unit of its own"),
    Damage("on A4", document(a4), Kind.PAGE, "210.00 mm"),
    Damage("page larger", box("/MediaBox", [0, 0, 620, 792]), Kind.PAGE, "218.72 mm"),
    Damage("page cropped", box("/CropBox", [0, 0, 612, 700]), Kind.PAGE, "CropBox"),
    Damage("no trim box", box("/TrimBox", None), Kind.PAGE, "no TrimBox"),
    Damage("page off its origin", document(off_origin), Kind.PAGE, "off the origin"),
    Damage("may be scaled", document(no_print_scaling), Kind.PAGE, "without scaling"),
    Damage("page lost", document(page_lost), Kind.PAGE, "1 pages, not 2"),
    Damage("page added", document(page_added), Kind.PAGE, "3 pages, not 2"),
    Damage("page emptied", content(lambda text, dice: ""), Kind.MISSING, "more of this sort"),
    Damage("hole missing", hit(HOLE, gone), Kind.MISSING, "hole"),
    Damage("hole moved", hit(HOLE, moved(0.31, 0.0)), Kind.MOVED, "moved 0.31 mm"),
    Damage("hole moved far", hit(HOLE, moved(0.0, 33.0)), Kind.MOVED, "moved 33.00 mm"),
    Damage("hole moved by 4 um", hit(HOLE, moved(0.004, 0.0)), Kind.MOVED, "moved 0.0040 mm"),
    Damage("hole larger", hit(HOLE, larger(0.1)), Kind.SIZE, "0.20 mm (0.008 in) too large"),
    Damage("hole smaller", hit(HOLE, larger(-0.01)), Kind.SIZE, "too small"),
    Damage("hole doubled", hit(HOLE, twice), Kind.DOUBLED, "is there twice"),
    Damage("hole as a disc", hit(HOLE, sub("S$", "f")), Kind.STYLE, "is filled"),
    Damage("hole faceted", hit(HOLE, as_chords), Kind.FACETED, "24 chords"),
    Damage("hole open", hit(HOLE, sub(" h S", " S")), Kind.OPEN, "is open"),
    Damage("hole out of round", hit(HOLE, nudged(0.05, 2)), Kind.FORM),
    Damage("outline faceted", hit(OUTLINE, as_chords), Kind.FACETED, "chords"),
    Damage("outline missing", hit(OUTLINE, gone), Kind.MISSING),
    Damage("outline open", hit(OUTLINE, sub(" h S", " S")), Kind.OPEN, "is open"),
    Damage("corner moved", hit(OUTLINE, nudged(0.02, 3)), Kind.FORM),
    Damage("curve bent", hit(OUTLINE, bent), Kind.FORM),
    Damage("line missing", hit(LINE, gone), Kind.MISSING, "line is missing"),
    Damage("line moved", hit(LINE, moved(0.01, 0.0)), Kind.MOVED, "moved 0.010 mm"),
    Damage("line longer", hit(LINE, nudged(0.05, 3)), Kind.FORM),
    Damage("line added", content(lambda text, dice: f"{text}\n0 0 m 99 99 l S"), Kind.ADDED, "was not drawn"),
    Damage("line width", content(sub(r"\n\.35 w", "\n.7 w")), Kind.STYLE, "0.70 mm"),
    Damage("hair lines", content(sub(r"\n\.25 w", "\n0 w")), Kind.STYLE, "0.0000 mm"),
    Damage("dashes lost", hit(DASHED, lambda found, dice: "[] 0 d"), Kind.STYLE, "dashes none"),
    Damage("dashes changed", hit(DASHED, lambda found, dice: "[3 1] 0 d"), Kind.STYLE, "dashes 3.00 1.00"),
    Damage("dashes begun elsewhere", hit(DASHED, sub("0 d", "2 d")), Kind.UNREAD, "begin"),
    Damage("white lines", hit(HOLE, before("1 G")), Kind.STYLE, "#ffffff"),
    Damage("red lines", content(lambda text, dice: f"1 0 0 RG\n{text}"), Kind.STYLE, "#ff0000"),
    Damage("square ends", content(sub("0 J", "2 J")), Kind.STYLE, "square line ends"),
    Damage("arrow not filled", hit(FILLED, sub("f$", "S")), Kind.STYLE, "is not filled"),
    Damage("clipped", content(lambda text, dice: f"0 0 99 99 re W n\n{text}"), Kind.UNREAD, "clip"),
    Damage("pale", document(pale), Kind.UNREAD, "opacity of 0.1"),
    Damage("picture added", document(pictured), Kind.UNREAD, "a picture"),
    Damage("stamp added", document(stamped), Kind.ADDED, "was not drawn"),
    Damage("cut off at the box of a form", document(as_a_form), Kind.UNREAD, "cut off at its box"),
    Damage("on a layer switched off", document(layered), Kind.UNREAD, "has layers"),
    Damage("line width by a state", document(wide_by_state), Kind.UNREAD, "a line width set"),
    Damage("note added", document(annotated), Kind.UNREAD, "1 annotations"),
    Damage("words missing", hit(WORDS, gone), Kind.MISSING, "the words"),
    Damage("words changed", hit(WORDS, sub(r"\(.*\) Tj", "(A) Tj")), Kind.WORDS, "in place of"),
    Damage("words moved", hit(WORDS, word_place), Kind.WORDS, "moved 0.050 mm"),
    Damage("words larger", hit(WORDS, word_size), Kind.WORDS, "1.0100 times"),
    Damage("words mirrored", hit(WORDS, sub(rf"Tm ({NUMBER}) ", r"Tm -\1 ")), Kind.WORDS, "mirrored"),
    Damage("words doubled", hit(WORDS, twice), Kind.ADDED, "the words"),
    Damage("words not shown", hit(WORDS, sub("BT", "BT 3 Tr")), Kind.UNREAD, "mode 3"),
    Damage("words white", hit(WORDS, before("1 g")), Kind.STYLE, "not black"),
    Damage("words spread", hit(WORDS, sub("BT", "BT 1 Tc")), Kind.WORDS, "run "),
    Damage("words raised", hit(WORDS, sub("BT", "BT 2 Ts")), Kind.UNREAD, "raised"),
    Damage("font not embedded", fonts(not_embedded), Kind.UNREAD, "is not embedded"),
    Damage("font with other widths", fonts(widened), Kind.WORDS, "run "),
    Damage("another font", fonts(renamed), Kind.WORDS, "set in"),
    Damage("other letters", fonts(other_letters), Kind.WORDS, "in place of"),
    Damage(
        "digest of another state",
        info("/Keywords", "digest: ba98; hand: left; unit: mm"),
        Kind.DIGEST,
        "ba98",
    ),
    Damage("nothing about itself", info("/Keywords", ""), Kind.ABOUT, "digest"),
    Damage("title changed", info("/Title", "Other"), Kind.ABOUT, "'Other'"),
    Damage("locked", locked, None),
    Damage("content cut off", content(lambda text, dice: text[: text.index(" Tj") - 2]), None),
    Damage("no number", content(sub(r" l S", " wide l S")), None),
    Damage("no PDF", lambda data, dice: bytes(dice.randrange(256) for _ in range(999)), None),
    Damage("empty", lambda data, dice: b"", None),
)
