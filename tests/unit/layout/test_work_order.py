"""Order of works: stages, what the job asks for, closings that take an access, rings."""

from __future__ import annotations

from itertools import permutations

from hypothesis import given, settings
from hypothesis import strategies as st

from templgen.layout.work.access import BENCH, BOTH, INSIDE, OUTSIDE, access_words, hand_through
from templgen.layout.work.model import Stage, Work
from templgen.layout.work.order import order_works


def work(key: str, stage: Stage = Stage.TASK, need: frozenset[str] = BENCH, takes: str = "") -> Work:
    return Work(key, stage, need=need, takes=takes, words=key)


RIVET = work("rivet", Stage.FASTEN, BOTH)
BLIND = work("blind", Stage.FASTEN, OUTSIDE)
FAR_SKIN = work("far skin", Stage.CLOSE, takes="inside")
PAINT = work("paint", Stage.CLOSE, takes="outside")


def keys(works: tuple[Work, ...]) -> list[str]:
    return [each.key for each in works]


def test_what_needs_the_inside_comes_before_the_far_skin_whatever_the_order_of_the_file() -> None:
    for given_order in permutations([RIVET, FAR_SKIN, PAINT, BLIND]):
        ordered = order_works(given_order, [], [])
        assert not ordered.lost
        places = {key: number for number, key in enumerate(keys(ordered.works))}
        assert places["rivet"] < places["far skin"]
        assert max(places["rivet"], places["blind"]) < places["paint"]


def test_a_solid_rivet_after_the_closing_has_lost_its_access_a_blind_one_has_not() -> None:
    ordered = order_works([RIVET, BLIND, FAR_SKIN], [], [("far skin", "rivet"), ("far skin", "blind")])
    (lost,) = ordered.lost
    assert (lost.work, lost.closing) == (RIVET, FAR_SKIN)
    assert keys(lost.chain) == ["far skin", "rivet"]
    assert keys(ordered.works)[0] == "far skin"


def test_the_way_to_a_lost_work_is_told() -> None:
    middle = work("leak check")
    wire = work("wire", need=INSIDE)
    asked = [("far skin", "leak check"), ("leak check", "wire")]
    (lost,) = order_works([FAR_SKIN, middle, wire], [], asked).lost
    assert keys(lost.chain) == ["far skin", "leak check", "wire"]


def test_two_closings_can_rob_each_other() -> None:
    # inside work waits for paint, outside work waits for the far skin: one of the two is lost
    a, b = work("a", need=INSIDE), work("b", need=OUTSIDE)
    ordered = order_works([FAR_SKIN, PAINT, a, b], [], [("paint", "a"), ("far skin", "b")])
    assert len(ordered.lost) == 1
    assert sorted(keys(ordered.works)) == ["a", "b", "far skin", "paint"]


def test_a_hand_through_an_opening_is_lost_only_by_what_shuts_that_opening() -> None:
    plug = work("plug", need=hand_through("hatch"))
    shut = work("shut", Stage.CLOSE, takes="hand through hatch")
    other = work("other", Stage.CLOSE, takes="hand through port")
    asked = [("far skin", "plug"), ("other", "plug"), ("shut", "plug")]
    (lost,) = order_works([plug, shut, other, FAR_SKIN], [], asked).lost
    assert lost.closing is shut


def test_a_wish_comes_true_before_the_closing_and_is_done_without_after_it() -> None:
    tape = Work("tape", Stage.TAPE, words="tape", wish=BOTH)
    free = order_works([FAR_SKIN, tape], [], [])
    assert (keys(free.works), free.without) == (["tape", "far skin"], {})
    late = order_works([FAR_SKIN, PAINT, tape], [], [("far skin", "tape")])
    assert (keys(late.works), late.lost) == (["far skin", "tape", "paint"], ())
    assert late.without == {"tape": INSIDE}


def test_a_need_goes_before_a_wish() -> None:
    # the wish of a alone would put b, which waits for a closing, behind the closing that takes its access
    a, b = Work("a", Stage.TAPE, words="a", wish=OUTSIDE), work("b", need=INSIDE)
    ordered = order_works([PAINT, FAR_SKIN, a, b], [], [("paint", "b"), ("far skin", "a")])
    assert not ordered.lost
    assert keys(ordered.works) == ["paint", "b", "far skin", "a"]
    assert ordered.without == {"a": OUTSIDE}


def test_a_ring_is_told_and_the_rest_is_sorted() -> None:
    works = [work("a"), work("b"), work("c"), work("d", Stage.PROVE)]
    ordered = order_works(works, [], [("a", "b"), ("b", "c"), ("c", "a")])
    (ring,) = ordered.rings
    assert keys(ring.works) == ["a", "b", "c", "a"]
    assert keys(ordered.works) == ["d", "a", "b", "c"]


def test_of_what_is_free_the_lower_stage_comes_first_then_the_order_given() -> None:
    works = [work("y", Stage.CUT), work("x", Stage.CUT), work("first", Stage.PROVE)]
    assert keys(order_works(works, [], []).works) == ["first", "y", "x"]


def test_words_of_an_access() -> None:
    assert access_words(BENCH) == "bench"
    assert access_words(INSIDE) == "inside"
    assert access_words(OUTSIDE) == "outside only"
    assert access_words(BOTH) == "both sides"
    assert access_words(hand_through("hatch")) == "hand through hatch"
    assert access_words(OUTSIDE | hand_through("hatch")) == "outside, hand through hatch"
    assert access_words(BOTH | hand_through("hatch")) == "both sides"


@st.composite
def orders(draw: st.DrawFn) -> tuple[list[Work], list[tuple[str, str]]]:
    needs = [BENCH, INSIDE, OUTSIDE, BOTH]
    works = [
        work(f"w{n}", draw(st.sampled_from(list(Stage))), draw(st.sampled_from(needs)))
        for n in range(draw(st.integers(2, 7)))
    ]
    works += [
        work(f"c{n}", Stage.CLOSE, takes=draw(st.sampled_from(["inside", "outside"]))) for n in range(2)
    ]
    names = st.sampled_from([each.key for each in works])
    return works, draw(st.lists(st.tuples(names, names), max_size=8))


@given(orders())
@settings(max_examples=200, deadline=None)
def test_any_order_is_worked_or_told(drawn: tuple[list[Work], list[tuple[str, str]]]) -> None:
    works, asked = drawn
    ordered = order_works(works, [], asked)
    assert sorted(keys(ordered.works)) == sorted(each.key for each in works)
    places = {key: number for number, key in enumerate(keys(ordered.works))}
    broken = [(a, b) for a, b in asked if places[a] >= places[b]]
    assert len(ordered.rings) >= bool(broken)
    assert bool(ordered.rings) or not broken
    lost = {(each.work.key, each.closing.key) for each in ordered.lost}
    for closing in works:
        for each in works:
            if closing.takes and closing.takes in each.need and (each.key, closing.key) not in lost:
                assert places[each.key] < places[closing.key], "has its access when its turn comes"
    for each in ordered.lost:
        assert places[each.closing.key] < places[each.work.key]
