"""Damage to SVG files."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from copy import deepcopy
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from templgen.proof.difference import Kind
from tests.unit.proof.damage import Damage, Dice

__all__ = ["DAMAGES", "rewritten"]

_NS = "{http://www.w3.org/2000/svg}"
ElementTree.register_namespace("", _NS[1:-1])

Change = Callable[[Element, Dice], None]


def rewritten(data: bytes) -> bytes:
    """Return a file as another program would write it, unharmed."""
    return ElementTree.tostring(ElementTree.fromstring(data), encoding="utf-8")


def tree(change: Change) -> Callable[[bytes, Dice], bytes]:
    """Return what makes a change to the root of the file."""

    def do(data: bytes, dice: Dice) -> bytes:
        root = ElementTree.fromstring(data)
        change(root, dice)
        return ElementTree.tostring(root, encoding="utf-8")

    return do


def text(pattern: str, by: str, count: int = 1) -> Callable[[bytes, Dice], bytes]:
    """Return what puts other text in place of a pattern."""

    def do(data: bytes, dice: Dice) -> bytes:
        return re.sub(pattern, by, data.decode(), count=count).encode()

    return do


def group(root: Element, name: str) -> Element:
    return next(each for each in root.iter(f"{_NS}g") if each.get("id") == name)


def paths(root: Element) -> list[Element]:
    return [each for each in group(root, "cut").iter(f"{_NS}path") if "aria-label" not in each.attrib]


def words(root: Element) -> list[Element]:
    return [each for each in root.iter(f"{_NS}path") if "aria-label" in each.attrib]


def hole(root: Element, dice: Dice) -> Element:
    return dice.choice(list(group(root, "hole")))


def line(root: Element, dice: Dice) -> Element:
    return dice.choice(list(group(root, "ruler")))


def parent(root: Element, child: Element) -> Element:
    return next(each for each in root.iter() if child in list(each))


def wrapped(transform: str, *names: str) -> Change:
    """Return what puts a transform on groups, or on all of them."""

    def change(root: Element, dice: Dice) -> None:
        for each in root.findall(f"{_NS}g"):
            if not names or each.get("id") in names:
                each.set("transform", transform)

    return change


def attribute(find: Callable[[Element, Dice], Element], name: str, by: float) -> Change:
    def change(root: Element, dice: Dice) -> None:
        element = find(root, dice)
        element.set(name, f"{float(element.attrib[name]) + by:.4f}")

    return change


def put(find: Callable[[Element, Dice], Element], **values: str | None) -> Change:
    """Return what sets attributes of an element; None takes one away."""

    def change(root: Element, dice: Dice) -> None:
        element = find(root, dice)
        for name, value in values.items():
            key = name.replace("_", "-")
            if value is None:
                element.attrib.pop(key)
            else:
                element.set(key, value)

    return change


def layer(name: str) -> Callable[[Element, Dice], Element]:
    return lambda root, dice: group(root, name)


def root_of(root: Element, dice: Dice) -> Element:
    return root


def dashed(root: Element, dice: Dice) -> Element:
    return group(root, dice.choice(["structure-behind", "centre", "rough-cut"]))


def a_word(root: Element, dice: Dice) -> Element:
    return dice.choice(words(root))


def removed(find: Callable[[Element, Dice], Element]) -> Change:
    def change(root: Element, dice: Dice) -> None:
        element = find(root, dice)
        parent(root, element).remove(element)

    return change


def doubled(root: Element, dice: Dice) -> None:
    group(root, "hole").append(deepcopy(hole(root, dice)))


def added_hole(root: Element, dice: Dice) -> None:
    new = deepcopy(hole(root, dice))
    new.attrib |= {"cx": "150", "cy": "30", "r": "1.2345"}
    group(root, "hole").append(new)


def moved_to(name: str, find: Callable[[Element, Dice], Element]) -> Change:
    def change(root: Element, dice: Dice) -> None:
        element = find(root, dice)
        parent(root, element).remove(element)
        group(root, name).append(element)

    return change


def path_text(pattern: str, by: str) -> Change:
    def change(root: Element, dice: Dice) -> None:
        path = paths(root)[0]
        path.set("d", re.sub(pattern, by, path.attrib["d"], count=1))

    return change


def _arc_points(path: str, chords: int) -> list[tuple[float, float]]:
    """Return points along a path of M, L and A, arcs as chords, by the formulas of SVG 1.1, F.6."""
    points: list[tuple[float, float]] = []
    for letter, inside in re.findall(r"([MLAZ])([^MLAZ]*)", path):
        values = [float(value) for value in inside.split()]
        if letter in "ML":
            points.append((values[0], values[1]))
        elif letter == "A":
            radius, sweep, end = values[0], values[4], (values[5], values[6])
            x0, y0 = points[-1]
            half = math.dist((x0, y0), end) / 2
            away = math.sqrt(max(0.0, radius**2 - half**2)) * (1 if sweep else -1)
            ux, uy = (end[0] - x0) / (2 * half), (end[1] - y0) / (2 * half)
            cx, cy = (x0 + end[0]) / 2 - away * uy, (y0 + end[1]) / 2 + away * ux
            start = math.atan2(y0 - cy, x0 - cx)
            turn = math.remainder(math.atan2(end[1] - cy, end[0] - cx) - start, math.tau)
            points += [
                (
                    cx + radius * math.cos(start + turn * i / chords),
                    cy + radius * math.sin(start + turn * i / chords),
                )
                for i in range(1, chords + 1)
            ]
    return points


def faceted(root: Element, dice: Dice) -> None:
    for path in paths(root):
        points = _arc_points(path.attrib["d"], dice.randint(4, 12))
        path.set("d", "M" + "L".join(f"{x:.4f} {y:.4f}" for x, y in points) + "Z")


def exploded(root: Element, dice: Dice) -> None:
    path = paths(root)[1]
    home = parent(root, path)
    home.remove(path)
    points = _arc_points(path.attrib["d"], 16)
    for (x1, y1), (x2, y2) in zip(points, [*points[1:], points[0]], strict=True):
        if math.dist((x1, y1), (x2, y2)) > 1e-3:
            ElementTree.SubElement(
                home, f"{_NS}line", x1=f"{x1:.4f}", y1=f"{y1:.4f}", x2=f"{x2:.4f}", y2=f"{y2:.4f}"
            )


def as_curves(root: Element, dice: Dice) -> None:
    """Every quarter arc becomes one Bezier curve, as drawing programs do; it leaves the arc by 0.027 %."""
    path = paths(root)[0]

    def curve(match: re.Match[str]) -> str:
        x0, y0, r, sweep, x1, y1 = (float(match[i]) for i in range(1, 7))
        half = math.dist((x0, y0), (x1, y1)) / 2
        k = 4 / 3 * math.tan(math.asin(min(1.0, half / r)) / 2) * r
        turn = math.asin(min(1.0, half / r)) * (-1 if sweep else 1)
        along = math.atan2(y1 - y0, x1 - x0)
        a = (x0 + k * math.cos(along + turn), y0 + k * math.sin(along + turn))
        b = (x1 - k * math.cos(along - turn), y1 - k * math.sin(along - turn))
        return f"{x0} {y0}C{a[0]:.4f} {a[1]:.4f} {b[0]:.4f} {b[1]:.4f} {x1} {y1}"

    number = r"(-?[\d.]+)"
    path.set(
        "d", re.sub(rf"{number} {number}A{number} [\d.]+ 0 0 (\d) {number} {number}", curve, path.attrib["d"])
    )


def other_letters(root: Element, dice: Dice) -> None:
    first, second = dice.sample(words(root), 2)
    first.set("d", second.attrib["d"])


def letter_point(root: Element, dice: Dice) -> None:
    word = a_word(root, dice)
    numbers = list(re.finditer(r"-?\d+(?:\.\d+)?", word.attrib["d"]))
    hit = dice.choice(numbers[4:])
    path = word.attrib["d"]
    word.set("d", f"{path[: hit.start()]}{float(hit[0]) + 90.0}{path[hit.end() :]}")


def word_transform(pattern: str, by: Callable[[re.Match[str]], str]) -> Change:
    def change(root: Element, dice: Dice) -> None:
        word = a_word(root, dice)
        word.set("transform", re.sub(pattern, by, word.attrib["transform"], count=1))

    return change


def text_element(root: Element, dice: Dice) -> None:
    word = a_word(root, dice)
    home = parent(root, word)
    home.remove(word)
    ElementTree.SubElement(home, f"{_NS}text", x="10", y="10").text = word.attrib["aria-label"]


def child(tag: str, **values: str) -> Change:
    return lambda root, dice: root.insert(2, Element(f"{_NS}{tag}", values))


def style_in_defs(root: Element, dice: Dice) -> None:
    home = ElementTree.SubElement(root, f"{_NS}defs")
    ElementTree.SubElement(home, f"{_NS}style").text = "circle { r: 9px }"


def animated(root: Element, dice: Dice) -> None:
    ElementTree.SubElement(hole(root, dice), f"{_NS}animate", attributeName="r", to="9")


def size(width: str, height: str, box: str) -> Callable[[bytes, Dice], bytes]:
    def change(root: Element, dice: Dice) -> None:
        root.attrib |= {"width": width, "height": height, "viewBox": box}

    return tree(change)


DAMAGES = (
    Damage("scaled", size("215.9mm", "279.4mm", "0 0 207.71599 268.80893"), Kind.SCALE, "1.0394 in x and y"),
    Damage("scaled a little", tree(wrapped("scale(1.0002)")), Kind.SCALE, "1.0002"),
    Damage("inches for mm", tree(wrapped("scale(25.4)")), Kind.SCALE, "inches were taken for millimetres"),
    Damage("mm for inches", tree(wrapped("scale(0.0393700787)")), Kind.SCALE, "units changed"),
    Damage("fit to page", tree(wrapped("translate(5 8) scale(0.955)")), Kind.SCALE, "fit-to-page"),
    Damage("no unit", size("215.9", "279.4", "0 0 215.9 279.4"), Kind.UNITS, "pixels of 1/96 in"),
    Damage("no unit, by its size", size("215.9", "279.4", "0 0 215.9 279.4"), Kind.SCALE, "1/96 in"),
    Damage("pixels of 1/96 in", size("816px", "1056px", "0 0 215.9 279.4"), Kind.UNITS, "px"),
    Damage("page in inches", size("8.5in", "11in", "0 0 215.9 279.4"), Kind.UNITS, "in in"),
    Damage("page larger", size("216.9mm", "279.4mm", "0 0 216.9 279.4"), Kind.PAGE, "216.90 mm"),
    Damage("A4 for letter", size("210mm", "297mm", "0 0 215.9 279.4"), Kind.SCALE),
    Damage("stretched", tree(put(root_of, preserveAspectRatio="none", height="285mm")), Kind.SCALE),
    Damage("view shifted", size("215.9mm", "279.4mm", "1 0 215.9 279.4"), Kind.SHIFT, "1.00 mm"),
    Damage("shifted a little", tree(wrapped("translate(0.003 0)")), Kind.SHIFT, "0.0030 mm"),
    Damage("mirrored", tree(wrapped("translate(215.9 0) scale(-1 1)")), Kind.MIRROR, "the other hand"),
    Damage("upside down", tree(wrapped("translate(0 279.4) scale(1 -1)")), Kind.MIRROR, "top to bottom"),
    Damage("turned", tree(wrapped("translate(215.9 0) rotate(90)")), Kind.TURN, "90 degrees clockwise"),
    Damage("turned a little", tree(wrapped("rotate(0.05 100 100)")), Kind.TURN, "0.05 degrees"),
    Damage("one axis scaled", tree(wrapped("scale(1 1.002)")), Kind.SCALE, "one axis only"),
    Damage("slanted", tree(wrapped("skewX(0.1)")), Kind.SCALE, "slanted by 0.1 degrees"),
    Damage(
        "layer shifted", tree(wrapped("translate(0.5 0)", "hole")), Kind.SHIFT, "the layer 'hole' is shifted"
    ),
    Damage("layer scaled", tree(wrapped("scale(1.01)", "ruler")), Kind.SCALE, "the layer 'ruler' is scaled"),
    Damage("hole missing", tree(removed(hole)), Kind.MISSING, "hole"),
    Damage("hole moved", tree(attribute(hole, "cx", 0.31)), Kind.MOVED, "moved 0.31 mm"),
    Damage("hole moved far", tree(attribute(hole, "cy", 12.3)), Kind.MOVED, "moved 12.30 mm"),
    Damage("hole moved by 2 um", tree(attribute(hole, "cx", 0.002)), Kind.MOVED, "moved 0.0020 mm"),
    Damage("hole larger", tree(attribute(hole, "r", 0.1)), Kind.SIZE, "0.20 mm (0.008 in) too large"),
    Damage("hole smaller by 4 um", tree(attribute(hole, "r", -0.002)), Kind.SIZE, "too small"),
    Damage("hole doubled", tree(doubled), Kind.DOUBLED, "is there twice"),
    Damage("hole added", tree(added_hole), Kind.ADDED, "a circle of 2.47 mm"),
    Damage("hole on another layer", tree(moved_to("cut", hole)), Kind.LAYER, "not on 'hole'"),
    Damage("layer lost", tree(removed(layer("hole"))), Kind.MISSING, "the layer 'hole' is lost"),
    Damage("layer renamed", tree(put(layer("hole"), id="layer1")), Kind.LAYER, "has become 'layer1'"),
    Damage("layer hidden", tree(put(layer("hole"), display="none")), Kind.UNREAD, "hidden"),
    Damage(
        "layer hidden by style", tree(put(layer("cut"), style="visibility: hidden")), Kind.UNREAD, "hidden"
    ),
    Damage("outline faceted", tree(faceted), Kind.FACETED, "chords"),
    Damage("outline as curves", tree(as_curves), Kind.FORM),
    Damage("outline open", tree(path_text("Z$", "")), Kind.OPEN, "is open"),
    Damage("outline in pieces", tree(exploded), Kind.OPEN, "pieces"),
    Damage("corner moved", tree(path_text(r"M42 219.4L", "M42 219.41L")), Kind.FORM),
    Damage("arc the other way", tree(path_text(r"(A[\d.]+ [\d.]+ 0 0) 0", r"\1 1")), Kind.FORM),
    Damage("corner lost", tree(path_text(r"L122 219.4", "")), Kind.FORM),
    Damage("line missing", tree(removed(line)), Kind.MISSING, "ruler line"),
    Damage("line longer", tree(attribute(line, "y2", 0.05)), Kind.FORM),
    Damage("line width", tree(put(layer("cut"), stroke_width="0.7")), Kind.STYLE, "0.70 mm"),
    Damage("dashes lost", tree(put(dashed, stroke_dasharray=None)), Kind.STYLE, "dashes none"),
    Damage("dashes changed", tree(put(dashed, stroke_dasharray="3 1")), Kind.STYLE, "dashes 3.00 1.00"),
    Damage("dashes begun elsewhere", tree(put(dashed, stroke_dashoffset="2")), Kind.UNREAD, "begin"),
    Damage("white lines", tree(put(layer("cut"), stroke="#fff")), Kind.STYLE, "#ffffff"),
    Damage("no lines", tree(put(layer("hole"), stroke="none")), Kind.STYLE, "has no line"),
    Damage("outlines filled", text(r' fill="none"', ""), Kind.STYLE, "is filled"),
    Damage("square ends", tree(put(layer("ruler"), stroke_linecap="square")), Kind.STYLE, "square line ends"),
    Damage("pale", tree(put(layer("cut"), opacity="0.1")), Kind.UNREAD, "opacity"),
    Damage("clipped", tree(put(layer("cut"), clip_path="url(#a)")), Kind.UNREAD, "clipped"),
    Damage("words changed", tree(put(a_word, aria_label="other")), Kind.WORDS, "“other” stand in place"),
    Damage("no letters", tree(put(a_word, d="")), Kind.WORDS, "another form altogether"),
    Damage("other letters", tree(other_letters), Kind.WORDS, "have another form"),
    Damage("point of a letter moved", tree(letter_point), Kind.WORDS, "have another form by"),
    Damage(
        "words moved",
        tree(word_transform(r"translate\(([\d.]+)", lambda m: f"translate({float(m[1]) + 0.05:.4f}")),
        Kind.WORDS,
        "moved 0.050 mm",
    ),
    Damage(
        "words larger",
        tree(word_transform(r"scale\(([\d.]+)", lambda m: f"scale({float(m[1]) * 1.01:.9f}")),
        Kind.WORDS,
        "1.0100 times",
    ),
    Damage(
        "words mirrored",
        tree(word_transform(r"scale\(([\d.]+)", lambda m: f"scale(-{m[1]} {m[1]}")),
        Kind.WORDS,
        "mirrored",
    ),
    Damage("words on a cut layer", tree(moved_to("cut", a_word)), Kind.LAYER, "a machine would cut them"),
    Damage("words missing", tree(removed(a_word)), Kind.MISSING, "the words"),
    Damage("words as text", tree(text_element), Kind.UNREAD, "<text>"),
    Damage("picture added", tree(child("image", width="9", height="9")), Kind.UNREAD, "<image>"),
    Damage("style sheet added", tree(child("style")), Kind.UNREAD, "<style>"),
    Damage("style sheet among the definitions", tree(style_in_defs), Kind.UNREAD, "<style>"),
    Damage(
        "style sheet in another file",
        text("<svg ", '<?xml-stylesheet href="a.css"?><svg '),
        Kind.UNREAD,
        "another file",
    ),
    Damage("file turned by its root", tree(put(root_of, transform="scale(1.001)")), Kind.UNREAD, "transform"),
    Damage("radius by its style", tree(put(hole, style="r:9px")), Kind.UNREAD, "r in its style"),
    Damage(
        "hole moved by its style", tree(put(hole, style="TRANSFORM: scale(2)")), Kind.UNREAD, "transform in"
    ),
    Damage("hidden before all", tree(put(hole, style="display: none !important")), Kind.UNREAD, "is hidden"),
    Damage("radius that is animated", tree(animated), Kind.UNREAD, "<animate>"),
    Damage("marks at the ends of a line", tree(put(line, marker_end="url(#m)")), Kind.UNREAD, "marker"),
    Damage("shown in one language only", tree(put(hole, systemLanguage="xx")), Kind.UNREAD, "systemLanguage"),
    Damage("title changed", text("<title>Plate</title>", "<title>Other</title>"), Kind.ABOUT, "'Other'"),
    Damage(
        "digest of another state", text("digest: 0123456789ab", "digest: ba9876543210"), Kind.DIGEST, "ba98"
    ),
    Damage("other hand in the facts", text("hand: left", "hand: right"), Kind.ABOUT, "hand: left"),
    Damage("nothing about itself", text("<desc>.*?</desc>", ""), Kind.ABOUT, "digest"),
    Damage("cut off", lambda data, dice: data[: dice.randint(10, len(data) - 8)], None),
    Damage("empty", lambda data, dice: b"", None),
    Damage("no path", tree(path_text("M", "W")), None),
    Damage("no number", tree(put(hole, r="wide")), None),
    Damage("no size", tree(put(root_of, viewBox=None)), None),
)
