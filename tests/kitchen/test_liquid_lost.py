"""Liquid lost: the worked jars, the span between the two formulas, and a doubt that never makes less than half of it."""

from __future__ import annotations

from fractions import Fraction
from math import pi
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.engine.kitchen_tables import number
from bot.kitchen.liquid_lost import (
    JarShape,
    column_of,
    cooling_drop,
    drop_for_half,
    finger_mm,
    half_is_gone,
    headspace_ml,
    headspace_mm,
    liquid_lost,
    lost_from_jar,
    show_share_lost,
)
from bot.kitchen.process_time import JAR_SIZES
from bot.kitchen.span import NOTHING, Span, exactly
from tests.kitchen.given import published, reading, spans, tables, within

DATA = published("liquid-lost")
GONE = {"yes": True, "no": False, "unknown": None}
INCH = Fraction(254, 10)
JARS = sorted(tables().jar_shapes)
pieces = spans(0, 1).map(lambda span: span.times(exactly(Fraction(9, 10))))
shares = st.fractions(0, Fraction(9, 10), max_denominator=20)


def drawn(jar: str) -> JarShape:
    """The jar as if its widths were known."""
    return tables().jar_shapes[jar]._replace(off=Fraction(0))


def known(span: Span) -> float:
    assert span.lo == span.hi
    return float(span.lo)


@st.composite
def told(draw: st.DrawFn) -> tuple[Span, Span]:
    """A drop and the column it lies in."""
    column = draw(spans(20, 300))
    parts = draw(spans(0, 1))
    return Span(parts.lo * column.lo, parts.hi * column.lo), column


# --- Worked figures ---


@pytest.mark.parametrize(("jar", "figures"), DATA["jars"]["rows"].items())
def test_a_jar_has_the_worked_column_and_drops(jar: str, figures: list[str]) -> None:
    body, neck, body_cm2, neck_cm2, column, half, ten, inch = map(float, figures)
    near = float(DATA["jars"]["within"])
    shape = drawn(jar)
    assert (float(shape.body_mm), float(shape.neck_mm)) == (body, neck)
    assert known(column_of(shape)) == pytest.approx(column, abs=0.5)
    assert known(drop_for_half(shape, NOTHING)) == pytest.approx(half, abs=0.5)
    assert 100 * known(lost_from_jar(exactly(10), shape, NOTHING)) == pytest.approx(ten, rel=near)
    assert 100 * known(lost_from_jar(exactly(INCH), shape, NOTHING)) == pytest.approx(inch, abs=0.5)
    assert float(shape.holds_ml) / known(column_of(shape)) * 10 == pytest.approx(body_cm2, rel=near)
    assert known(headspace_ml(shape, exactly(10))) == pytest.approx(neck_cm2, rel=near)


@pytest.mark.parametrize("jar", JARS)
def test_widths_are_known_to_four_per_cent_and_that_widens_the_column_by_eight(jar: str) -> None:
    found, drawn_column = column_of(tables().jar_shapes[jar]), column_of(drawn(jar)).lo
    assert float(drawn_column / found.hi) == pytest.approx(0.92, abs=0.005)
    assert float(drawn_column / found.lo) == pytest.approx(1.08, abs=0.005)


@pytest.mark.parametrize(("jar", "drop", "share", "even", "clear", "half"), DATA["told"]["rows"])
def test_what_is_told_of_a_drop(jar: str, drop: str, share: str, even: str, clear: str, half: str) -> None:
    found = lost_from_jar(exactly(drop), drawn(jar), exactly(share))
    near = float(DATA["told"]["within"])
    assert [float(end) for end in found] == pytest.approx([float(even), float(clear)], abs=near)
    assert half_is_gone(found) is GONE[half]


@pytest.mark.parametrize(
    ("food", "jar", "mm"), [(food, jar, mm) for food, row in DATA["cooling"]["rows"].items() for jar, mm in row.items()]
)
def test_a_full_jar_sinks_so_far_on_cooling(food: str, jar: str, mm: str) -> None:
    found = cooling_drop(drawn(jar), tables().shrinks[food])
    assert known(found) == pytest.approx(float(mm), abs=float(DATA["cooling"]["within"]))


@pytest.mark.parametrize(("jar", "part"), DATA["neck"]["rows"].items())
def test_in_the_neck_the_same_drop_is_far_less(jar: str, part: str) -> None:
    shape = drawn(jar)
    found = known(headspace_ml(shape, exactly(10))) / float(shape.holds_ml)
    assert found == pytest.approx(float(part), abs=float(DATA["neck"]["within"]))
    assert found < known(lost_from_jar(exactly(10), shape, NOTHING)) / 1.5, "counted in the body it is never less"


@pytest.mark.parametrize(
    ("jar", "inches", "ml"),
    [(jar, inches, ml) for jar, row in DATA["headspace"]["rows"].items() for inches, ml in row.items()],
)
def test_a_headspace_has_so_much_room(jar: str, inches: str, ml: str) -> None:
    found = headspace_ml(drawn(jar), exactly(number(inches) * INCH))
    assert known(found) == pytest.approx(float(ml), abs=float(DATA["headspace"]["within"]))


def test_a_finger_of_headspace_tells_neither_jam_nor_pickles() -> None:
    finger = tables().fingers["finger"]
    assert list(finger) == [Fraction(end) for end in DATA["fingers"]["finger"]]
    assert not within(finger, Fraction(DATA["fingers"]["jam"])) and not within(
        finger, Fraction(DATA["fingers"]["pickles"])
    )
    assert finger_mm(Fraction(1, 2), finger) == Span(Fraction(15, 2), Fraction(11))
    assert within(tables().fingers["first-joint"], INCH) and within(tables().fingers["thumb"], Fraction(25))


def test_every_size_that_is_asked_for_and_has_a_shape_is_a_known_size() -> None:
    of_sizes = {"half-pint", "quarter-litre", "pint", "half-litre", "quart"}
    assert of_sizes <= set(tables().jar_shapes) & set(JAR_SIZES)


# --- Half, or not ---


@pytest.mark.parametrize(
    ("low", "high", "gone"),
    [("0.49", "0.4999", False), ("0.5", "0.5", True), ("0.5", "1", True), ("0.3", "0.5", None), (0, 0, False)],
)
def test_exactly_half_counts_as_half_and_a_doubt_is_not_less(low: Any, high: Any, gone: bool | None) -> None:
    assert half_is_gone(Span(Fraction(low), Fraction(high))) is gone


def test_nobody_knows_where_the_pieces_are_so_a_third_down_may_be_half() -> None:
    quart = tables().jar_shapes["quart"]
    assert half_is_gone(lost_from_jar(exactly(50), quart, tables().pieces)) is None
    assert half_is_gone(lost_from_jar(exactly(50), quart, NOTHING)) is False
    assert half_is_gone(lost_from_jar(exactly(20), quart, tables().pieces)) is False


@given(st.sampled_from(JARS), shares, st.fractions(0, 1, max_denominator=50))
def test_a_drop_under_the_drop_for_half_is_certainly_less_than_half(jar: str, share: Fraction, part: Fraction) -> None:
    shape = tables().jar_shapes[jar]
    half = drop_for_half(shape, Span(Fraction(0), share))
    short = lost_from_jar(exactly(half.lo * part), shape, Span(Fraction(0), share))
    assert half_is_gone(short) is (None if part == 1 and short.lo < short.hi else part == 1)
    assert lost_from_jar(exactly(half.hi), shape, exactly(share)).lo >= Fraction(1, 2)


# --- Properties ---


@given(told(), shares)
def test_the_two_formulas_are_the_ends_when_nobody_knows_where_the_pieces_are(
    jar: tuple[Span, Span], share: Fraction
) -> None:
    (drop, column) = jar
    found = liquid_lost(drop, column, exactly(share))
    assert found.lo == drop.lo / column.hi
    assert found.hi == min(drop.hi / ((1 - share) * column.lo), Fraction(1))


@given(told(), shares)
def test_pieces_told_to_lie_evenly_or_all_below_give_the_one_formula_or_the_other(
    jar: tuple[Span, Span], share: Fraction
) -> None:
    (drop, column) = jar
    drop, column = exactly(drop.hi), exactly(column.lo)
    even, below = (liquid_lost(drop, column, exactly(share), exactly(clear)) for clear in (0, drop.hi))
    assert known(even) == float(drop.hi / column.lo)
    assert below.lo == below.hi == min(drop.hi / ((1 - share) * column.lo), Fraction(1))


def test_a_drop_that_passes_the_top_of_the_pieces_is_all_liquid_down_to_there_and_part_of_it_below() -> None:
    # 50 of 100 mm are pieces, all in the lower 80. Of 40 mm, 20 are liquid alone and 20 are 3/8 liquid: 27.5 of 50 mm.
    found = liquid_lost(exactly(40), exactly(100), exactly("0.5"), exactly(20))
    assert found == exactly("0.55")


@given(told(), pieces, st.fractions(0, 1, max_denominator=50), st.fractions(0, 1, max_denominator=50))
def test_a_deeper_clear_layer_means_more_liquid_gone(
    jar: tuple[Span, Span], share: Span, one: Fraction, other: Fraction
) -> None:
    (drop, column) = jar
    shallow, deep = sorted((one * column.lo, other * column.lo))
    less, more = (liquid_lost(drop, column, share, exactly(clear)) for clear in (shallow, deep))
    assert less.lo <= more.lo and less.hi <= more.hi


@given(told(), pieces, st.data())
def test_every_reading_comes_to_a_share_inside_the_result(
    jar: tuple[Span, Span], share: Span, data: st.DataObject
) -> None:
    (drop, column) = jar
    clear = data.draw(spans(0, 20))
    found = liquid_lost(drop, column, share, clear)
    exact = liquid_lost(*(reading(data, each) for each in (drop, column, share, clear)))
    assert found.lo <= exact.lo <= exact.hi <= found.hi
    assert 0 <= found.lo <= found.hi <= 1


@given(st.sampled_from(JARS), pieces, st.fractions(0, 60, max_denominator=8), st.fractions(0, 60, max_denominator=8))
def test_a_deeper_drop_never_means_less_lost(jar: str, share: Span, one: Fraction, other: Fraction) -> None:
    shape = tables().jar_shapes[jar]
    less, more = (lost_from_jar(exactly(drop), shape, share) for drop in sorted((one, other)))
    assert less.lo <= more.lo and less.hi <= more.hi


@given(st.sampled_from(JARS), st.fractions(0, 30, max_denominator=16))
def test_depth_to_room_and_back_is_the_same_headspace(jar: str, depth: Fraction) -> None:
    assert headspace_mm(drawn(jar), headspace_ml(drawn(jar), exactly(depth))) == exactly(depth)
    assert within(headspace_ml(tables().jar_shapes[jar], exactly(depth)), headspace_ml(drawn(jar), exactly(depth)).lo)


@given(spans(0, 1))
def test_what_is_shown_is_never_less_than_what_is_gone(lost: Span) -> None:
    shown = [Fraction(each) / 100 for each in show_share_lost(lost).removesuffix(" %").split(" to ")]
    assert lost.lo <= shown[0] < lost.lo + Fraction(1, 100)
    assert lost.hi <= shown[-1] < lost.hi + Fraction(1, 100)


def test_a_share_is_shown_in_whole_per_cent() -> None:
    assert show_share_lost(Span(Fraction("0.2688"), Fraction("0.5376"))) == "27 to 54 %"
    assert show_share_lost(exactly("0.491")) == "50 %"


def test_a_drop_beyond_the_jar_is_all_of_it() -> None:
    assert lost_from_jar(exactly(399), drawn("half-pint"), NOTHING) == exactly(1)


# --- What is refused ---

PINT = tables().jar_shapes["pint"]


@pytest.mark.parametrize(("call", "todo"), [
    (lambda: liquid_lost(exactly(10), exactly(0), NOTHING), "inside of the bottom"), (lambda: liquid_lost(exactly(10), exactly(401), NOTHING), "inside of the bottom"),
    (lambda: liquid_lost(exactly(11), exactly(10), NOTHING), "the drop cannot be 11.*0 to 10"), (lambda: liquid_lost(exactly(-1), exactly(10), NOTHING), "the drop"),
    (lambda: liquid_lost(exactly(1), exactly(10), exactly(1)), "part of one"), (lambda: liquid_lost(exactly(1), exactly(10), exactly(50)), "part of one"),
    (lambda: liquid_lost(exactly(1), exactly(10), NOTHING, exactly(11)), "liquid above the food"), (lambda: half_is_gone(exactly(2)), "part of one"),
    (lambda: drop_for_half(PINT, exactly(1)), "part of one"), (lambda: lost_from_jar(exactly(-1), PINT, NOTHING), "where the liquid stood"),
    (lambda: cooling_drop(PINT, Fraction(1, 2)), "part of one"), (lambda: headspace_ml(PINT, exactly(41)), "from the rim down"),
    (lambda: headspace_mm(PINT, exactly(400)), "height of food and liquid instead"), (lambda: headspace_mm(PINT, exactly(-1)), "give mL"),
    (lambda: finger_mm(Fraction(0), exactly(19)), "with a ruler"), (lambda: finger_mm(Fraction(1), exactly(100)), "give mm"),
    (lambda: show_share_lost(exactly(50)), "part of one"), (lambda: column_of(PINT._replace(body_mm=Fraction(7))), "inner width.*measure mm"),
    (lambda: column_of(PINT._replace(holds_ml=Fraction(0))), "what the jar holds"), (lambda: column_of(PINT._replace(off=Fraction(4))), "doubt about the width"),
])  # fmt: skip
def test_what_cannot_be_worked_out_says_what_to_do(call: Any, todo: str) -> None:
    with pytest.raises(ValueError, match=todo):
        call()


def test_the_area_is_that_of_a_circle() -> None:
    assert float(column_of(drawn("pint")).lo) == pytest.approx(473.2e3 / (pi / 4 * 75**2))
