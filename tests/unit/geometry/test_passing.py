"""Feeding a plate through an opening, against sums worked by hand and against sampled poses.

The sampled poses share nothing with the module but the definition of a pose: points of the plate's metal are
placed by matrices written here, and looked for in the skin, beyond the far skin, in walls and in solids.
Shapely says what lies in the opening.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

import numpy as np
import pytest
import shapely

from templgen.geometry import Bounds, Contour, Motion, Vec, flatten, offset_contour
from templgen.geometry.holding import HoleSpace
from templgen.geometry.passing import FAR_SKIN, OPENING, Way, feed, to_slip_past, to_take_off, why_impossible
from templgen.geometry.plate import Bay, Lump, Plate, body_of
from templgen.geometry.poses import Pose, pose_between
from templgen.geometry.solids import Solid, block, rod

SKIN = 0.8
DEEP = Bay(400.0)


def racecourse(length: float, width: float) -> Contour:
    return Contour.rectangle(length, width, width / 2)


def least_length(thickness: float) -> float:
    """The shortest racecourse 74 mm wide that lets a flat ring 104 x 140 mm through."""
    ring = Plate(Contour.rectangle(140, 104, 20), thickness)
    low, high = 100.0, 110.0
    while high - low > 1e-4:
        middle = (low + high) / 2
        passes = feed(ring, HoleSpace.of(racecourse(middle, 74)), DEEP, SKIN).passes
        low, high = (low, middle) if passes else (middle, high)
    return high


# The corners of the slot stand t / 2 from the axis: 104 + 74 - sqrt(74^2 - t^2), worked by hand.
@pytest.mark.parametrize(("thickness", "length"), [(1e-6, 104.000), (1.0, 104.007), (6.0, 104.244)])
def test_ring_104_wide_through_a_racecourse_74_wide(thickness: float, length: float) -> None:
    assert least_length(thickness) == pytest.approx(length, abs=0.05)
    assert least_length(thickness) == pytest.approx(178 - math.sqrt(74**2 - thickness**2), abs=0.001)


def test_clearance_of_a_ring_on_edge_in_a_wide_rectangle() -> None:
    # 90 mm across in 100 x 60 with sharp corners, almost no thickness: best along the diagonal
    fed = feed(Plate(Contour.rectangle(200, 90), 1e-6), HoleSpace.of(Contour.rectangle(100, 60)), DEEP, SKIN)
    angle = math.atan2(60, 100)
    half = [(50 - 45 * math.cos(a), 30 - 45 * math.sin(a)) for a in np.linspace(0, angle * 1.5, 20001)]
    assert fed.clearance == pytest.approx(max(min(each) for each in half), abs=0.002)
    assert fed.tightest == OPENING


def test_depth_of_the_room_decides_how_it_leans() -> None:
    ring, hole = Plate(Contour.rectangle(160, 90, 10), 2.0), HoleSpace.of(Contour.rectangle(120, 70, 10))
    fed = feed(ring, hole, Bay(50.0), SKIN)
    assert fed.passes
    assert 160 * math.sin(math.radians(fed.tilt)) + 2 * math.cos(math.radians(fed.tilt)) <= 50.0
    assert feed(ring, hole, DEEP, SKIN).tilt == 90.0


def test_a_room_less_deep_than_the_plate_is_impossible() -> None:
    ring, hole = Plate(Contour.rectangle(160, 90, 10), 2.0), Contour.rectangle(120, 70, 10)
    fed = feed(ring, HoleSpace.of(hole), Bay(1.5), SKIN)
    assert not fed.passes
    assert fed.tightest == FAR_SKIN
    bound = why_impossible(ring, hole, Bay(1.5))
    assert bound is not None
    assert (bound.kind, bound.needed, bound.given) == ("depth", 2.0, 1.5)


def test_impossible_only_where_the_bound_says_so() -> None:
    # two points of a ring 104 mm across and t thick are sqrt(104^2 + t^2) apart when its middle passes
    ring = Plate(Contour.rectangle(140, 104, 20), 6.0)
    edge = math.hypot(104, 6)
    assert why_impossible(ring, racecourse(edge - 0.01, 74), None) is not None
    assert why_impossible(ring, racecourse(edge + 0.01, 74), None) is None
    assert not feed(ring, HoleSpace.of(racecourse(edge + 0.01, 74)), DEEP, SKIN).passes


def test_a_lump_needs_room_beside_the_ring() -> None:
    ring = Plate(racecourse(140, 104), 1.0)
    nutplates = tuple(
        Lump(Contour.rectangle(10, 8, centre=Vec(x, y)), 30.0) for x in (-40.0, 40.0) for y in (-46.0, 46.0)
    )
    hole = HoleSpace.of(racecourse(106, 74))
    bare, with_lumps = (
        feed(ring, hole, DEEP, SKIN),
        feed(Plate(ring.outline, 1.0, nutplates), hole, DEEP, SKIN),
    )
    assert bare.passes
    assert with_lumps.clearance < bare.clearance


def test_what_is_taken_off_lets_it_through_and_little_less_does_not() -> None:
    ring, hole = Plate(Contour.rectangle(150, 110, 20), 1.0), HoleSpace.of(racecourse(106, 74))
    off = to_take_off(ring, hole, DEEP, SKIN, feed(ring, hole, DEEP, SKIN), 18.0)
    # 106 = w + 74 - sqrt(74^2 - 1)
    assert off == pytest.approx((110 - (106 - 74 + math.sqrt(74**2 - 1))) / 2, abs=0.011)
    assert feed(Plate(ring.outline, 1.0, (), off), hole, DEEP, SKIN).passes
    assert not feed(Plate(ring.outline, 1.0, (), off - 0.05), hole, DEEP, SKIN).passes


@pytest.mark.parametrize("between", [91.0, 92.0, 95.0])
def test_between_close_walls_it_goes_in_as_it_will_lie(between: float) -> None:
    # the hole has most room along its diagonal, but there is none behind it to turn the ring back
    ring, hole = Plate(Contour.rectangle(160, 90, 10), 1.0), HoleSpace.of(Contour.rectangle(70, 120, 10))
    fed = feed(ring, hole, Bay(300.0, Bounds(-500, -between / 2, 500, between / 2)), SKIN)
    assert fed.passes
    assert fed.heading % 180.0 == pytest.approx(0.0)
    assert 0.0 < fed.clearance <= between / 2 - 45.0


def test_what_slips_past_the_walls_is_smaller_by_what_they_lack() -> None:
    # 90 mm of ring between walls 88 mm apart: more than 1 mm on either side, found to half a millimetre
    ring, hole = Plate(Contour.rectangle(160, 90, 10), 1.0), HoleSpace.of(Contour.rectangle(70, 120, 10))
    bay = Bay(300.0, Bounds(-500, -44, 500, 44))
    fed = feed(ring, hole, bay, SKIN)
    assert (fed.passes, fed.tightest) == (False, "the walls of the bay")
    assert fed.clearance == pytest.approx(-1.0, abs=1e-9)
    off = to_slip_past(ring, hole, bay, SKIN, fed, 10.0)
    assert off is not None
    assert 1.0 < off <= 1.5
    assert feed(Plate(ring.outline, 1.0, (), off), hole, bay, SKIN).passes
    assert to_slip_past(ring, hole, bay, SKIN, fed, 1.0) is None


def test_a_rod_where_the_ring_will_lie_is_named() -> None:
    ring, hole = Plate(Contour.rectangle(160, 90, 10), 1.0), HoleSpace.of(Contour.rectangle(120, 70, 10))
    fed = feed(ring, hole, Bay(200.0, None, (rod("pushrod", (-300, 40, 3), (300, 40, 3), 5.0),)), SKIN)
    assert not fed.passes
    assert fed.tightest == "pushrod"


def test_a_rod_far_behind_is_passed() -> None:
    ring, hole = Plate(Contour.rectangle(160, 90, 10), 1.0), HoleSpace.of(Contour.rectangle(120, 70, 10))
    fed = feed(ring, hole, Bay(300.0, None, (rod("pushrod", (-300, 40, 280), (300, 40, 280), 5.0),)), SKIN)
    assert fed.passes


@dataclass(frozen=True)
class Trial:
    hole: Contour
    plate: Plate
    bay: Bay
    skin: float


def random_hole(pick: random.Random) -> Contour:
    kind = pick.choice(("rectangle", "racecourse", "circle", "one round side", "four arcs", "notched"))
    w = pick.uniform(60, 160)
    h = pick.uniform(50, w)
    corners = [Vec(-w / 2, -h / 2), Vec(w / 2, -h / 2), Vec(w / 2, h / 2), Vec(-w / 2, h / 2)]
    match kind:
        case "rectangle":
            return Contour.rectangle(w, h, pick.uniform(3, h / 2))
        case "racecourse":
            return racecourse(w, h)
        case "circle":
            return Contour.circle(Vec(0, 0), w / 2)
        case "one round side":
            return Contour.from_bulges(corners, [0, pick.uniform(0.1, 0.9), 0, 0], closed=True)
        case "four arcs":
            ends = [Vec(-w / 2, 0), Vec(0, -h / 2), Vec(w / 2, 0), Vec(0, h / 2)]
            return Contour.from_bulges(ends, [0.3] * 4, closed=True)
        case _:
            notch = [*corners[:3], Vec(w / 8, h / 2), Vec(-w / 8, h / 2), corners[3]]
            return Contour.from_bulges(notch, [0, 0, 0, pick.uniform(-0.9, -0.1), 0, 0], closed=True)


def random_trial(seed: int) -> Trial:
    """An opening, a ring of its shape or a rectangle round it, nutplates, and a room with things in it."""
    pick = random.Random(seed)
    hole, band = random_hole(pick), pick.uniform(8, 22)
    box = hole.bounds
    round_it = Contour.rectangle(
        box.width + 2 * band, box.height + 2 * band, pick.uniform(0, band), box.centre
    )
    outline = offset_contour(hole, band)[0] if pick.random() < 0.7 else round_it
    lumps = [random_lump(pick, outline, band) for _ in range(pick.choice((0, 0, 2, 6)))]
    depth, wide = pick.uniform(20, 300), outline.bounds
    walls = [pick.uniform(2, 150) for _ in range(4)]
    area = Bounds(wide.xmin - walls[0], wide.ymin - walls[1], wide.xmax + walls[2], wide.ymax + walls[3])
    solids = tuple(random_solid(pick, depth) for _ in range(pick.choice((0, 0, 1, 2))))
    bay = Bay(depth, area if pick.random() < 0.5 else None, solids)
    plate = Plate(outline, pick.choice((0.5, 0.8, 1.0, 1.6, 3.0, 6.0)), tuple(lumps))
    return Trial(hole, plate, bay, pick.choice((0.5, 0.8, 1.2)))


def random_lump(pick: random.Random, outline: Contour, band: float) -> Lump:
    edge, along = outline.point_at(pick.uniform(0, outline.length))
    motion = Motion.rotation(along.angle).then(Motion.translation(edge + along.perp() * (band / 2)))
    return Lump(Contour.rectangle(pick.uniform(8, 25), pick.uniform(6, 10)).moved(motion), pick.uniform(2, 8))


def random_solid(pick: random.Random, depth: float) -> Solid:
    z = pick.uniform(0.3, 1) * depth
    if pick.random() < 0.5:
        start = (pick.uniform(-200, 0), pick.uniform(-100, 100), z)
        end = (pick.uniform(0, 200), pick.uniform(-100, 100), pick.uniform(0.3, 1) * depth)
        return rod("rod", start, end, pick.uniform(1, 10))
    x, y = pick.uniform(-200, 150), pick.uniform(-200, 150)
    return block("tank", Bounds(x, y, x + pick.uniform(5, 100), y + pick.uniform(5, 100)), z, depth)


def metal_points(trial: Trial) -> np.ndarray:
    """Points (n, 3) on the edges of ring and nutplates: plan place, and depth from the ring's outer face."""
    plate = trial.plate
    outlines = [(plate.outline, 0.0, plate.thickness), (trial.hole, 0.0, plate.thickness)]
    outlines += [(lump.outline, plate.thickness, plate.thickness + lump.height) for lump in plate.lumps]
    points = []
    for outline, *depths in outlines:
        places = [outline.point_at(outline.length * i / 60)[0] for i in range(60)] + flatten(outline, 0.02)
        points += [(p.x, p.y, w) for p in places for w in depths]
    return np.array(points)


def placed(points: np.ndarray, pose: Pose) -> np.ndarray:
    """Turn the plate's points by matrices: its own turn, then the tilt, then the heading, then where it
    is."""
    turn, tilt, heading = (math.radians(angle) for angle in (pose.turn, pose.tilt, pose.heading))
    own = np.array([[math.cos(turn), math.sin(turn), 0], [-math.sin(turn), math.cos(turn), 0], [0, 0, 1]])
    # x down the slope, y across it, w inwards: tilting takes x towards z and w towards -x
    lean = np.array([[math.cos(tilt), 0, -math.sin(tilt)], [0, 1, 0], [math.sin(tilt), 0, math.cos(tilt)]])
    head = np.array(
        [[math.cos(heading), -math.sin(heading), 0], [math.sin(heading), math.cos(heading), 0], [0, 0, 1]]
    )
    return points @ (head @ lean @ own).T + np.array([pose.at.x, pose.at.y, pose.z])


def collision(trial: Trial, way: Way, looks: int) -> str:
    """What the plate touches at one of the sampled poses; "" where it goes clear."""
    points, body = metal_points(trial), body_of(trial.plate)
    hole = shapely.Polygon([(p.x, p.y) for p in flatten(trial.hole, 0.0005)]).buffer(0.001)
    shapely.prepare(hole)
    for start, end in zip(way.poses, way.poses[1:], strict=False):
        for number in range(looks + 1):
            touched = touches(trial, placed(points, pose_between(body, start, end, number / looks)), hole)
            if touched:
                return touched
    return ""


def touches(trial: Trial, points: np.ndarray, hole: shapely.Polygon, noise: float = 1e-6) -> str:
    z, bay = points[:, 2], trial.bay
    in_skin = points[(z > -trial.skin + noise) & (z < -noise)]
    inside = points[z >= -noise]
    if len(in_skin) and not shapely.contains_xy(hole, in_skin[:, 0], in_skin[:, 1]).all():
        return "the skin"
    if (inside[:, 2] > bay.depth + noise).any():
        return "the far skin"
    low, high = (inside.min(axis=0), inside.max(axis=0)) if len(inside) else (np.zeros(3), np.zeros(3))
    area = bay.area
    if area and (low[0] < area.xmin or low[1] < area.ymin or high[0] > area.xmax or high[1] > area.ymax):
        return "a wall"
    return next((solid.name for solid in bay.solids if in_solid(points, solid)), "")


def in_solid(points: np.ndarray, solid: Solid) -> bool:
    if not solid.radius:
        low, high = solid.points.min(axis=0), solid.points.max(axis=0)
        return bool(((points > low + 1e-6) & (points < high - 1e-6)).all(axis=1).any())
    start, along = solid.points[0], solid.points[1] - solid.points[0]
    t = np.clip((points - start) @ along / (along @ along), 0, 1)
    return bool((np.linalg.norm(points - start - t[:, None] * along, axis=1) < solid.radius - 1e-6).any())


def never_passes_into_something(seeds: range, looks: int) -> int:
    passed = 0
    for seed in seeds:
        trial = random_trial(seed)
        fed = feed(trial.plate, HoleSpace.of(trial.hole), trial.bay, trial.skin)
        if fed.passes:
            assert fed.way is not None
            assert collision(trial, fed.way, looks) == "", f"trial {seed}"
            assert why_impossible(trial.plate, trial.hole, trial.bay) is None, f"trial {seed}"
            passed += 1
    return passed


def test_never_passes_where_sampled_poses_collide() -> None:
    assert never_passes_into_something(range(40), 25) > 10


@pytest.mark.heavy
def test_never_passes_where_sampled_poses_collide_on_many() -> None:
    assert never_passes_into_something(range(1000, 1500), 80) > 120


def slot_fits_somewhere(trial: Trial, pick: random.Random, tries: int) -> bool:
    """Whether sampled places hold the ring on edge: what passes so can not be impossible."""
    hole = shapely.Polygon([(p.x, p.y) for p in flatten(trial.hole, 0.0005)])
    outline = np.array([(p.x, p.y) for p in flatten(trial.plate.outline, 0.0005)])
    box, t = trial.hole.bounds, trial.plate.thickness
    for _ in range(tries):
        turn, heading = pick.uniform(0, math.pi), pick.uniform(0, math.pi)
        across = outline @ np.array([-math.sin(turn), math.cos(turn)])
        slot = shapely.box(across.min(), 0, across.max(), t)
        slot = shapely.affinity.rotate(slot, heading, use_radians=True, origin="center")
        middle = slot.centroid
        x = pick.uniform(box.xmin, box.xmax) * 0.3 - middle.x
        y = pick.uniform(box.ymin, box.ymax) * 0.3 - middle.y
        if hole.contains(shapely.affinity.translate(slot, x, y)):
            return True
    return False


def test_what_sampled_places_hold_is_never_called_impossible() -> None:
    fitted = 0
    for seed in range(40):
        trial = random_trial(seed)
        if slot_fits_somewhere(trial, random.Random(seed), 400):
            fitted += 1
            assert why_impossible(trial.plate, trial.hole, None) is None, f"trial {seed}"
    assert fitted > 5


def test_the_named_place_of_a_pose_agrees_with_the_matrices() -> None:
    pose = Pose(33.0, 251.0, 62.0, Vec(5.0, -7.0), 20.0)
    place, z = pose.place(Vec(12.0, 3.5), 1.25)
    assert placed(np.array([[12.0, 3.5, 1.25]]), pose)[0] == pytest.approx((place.x, place.y, z))


@pytest.mark.parametrize("seed", range(8))
def test_the_clearance_is_that_of_the_slot_in_the_opening(seed: int) -> None:
    trial = random_trial(seed)
    fed = feed(trial.plate, HoleSpace.of(trial.hole), DEEP, trial.skin)
    if fed.way is not None:
        slot = shapely.Polygon([(p.x, p.y) for p in fed.way.slot])
        edge = shapely.LinearRing([(p.x, p.y) for p in flatten(trial.hole, 0.0005)])
        assert slot.distance(edge) == pytest.approx(fed.clearance, abs=0.001)
