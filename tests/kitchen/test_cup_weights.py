"""Cups into grams and back: the published weights, wider the less is known, and ounces that may be two things."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.kitchen.cup_weights import CupWeight, grams_in, ounces, volume_of, weights_of
from bot.kitchen.span import Span, exactly, hull
from bot.kitchen.units import convert
from tests.kitchen.given import published, spans, tables

DATA = published("cup-weights")
TABLE = tables().cup_weights
ROWS = DATA["cups"]["rows"]
SOLIDS = ROWS[next(n for n, row in enumerate(ROWS) if row.startswith(DATA["solids-from"])) :]
BERRIES = frozenset({"raspberry", "blackberry", "blueberry"})


def of(told: str) -> tuple[CupWeight, ...]:
    food, cut = told.split(" / ")
    return weights_of(TABLE, frozenset({food}), cut)


def middle(span: Span) -> float:
    return float(span.lo + span.hi) / 2


@pytest.mark.parametrize("row", ROWS)
def test_a_cup_weighs_what_is_published_and_solids_a_tenth_either_way(row: str) -> None:
    told, _, printed = row.partition(" = ")
    figures = [Fraction(each) for each in printed.split()]
    off = Fraction(DATA["solids-within"]) / 100 if row in SOLIDS else Fraction(0)
    assert grams_in(exactly(1), "cup", of(told)) == Span(figures[0] * (1 - off), figures[-1] * (1 + off))


def test_every_row_of_the_knowledge_is_a_published_one() -> None:
    known = {f"{each.food} / {each.cut}" for each in TABLE}
    assert known == {row.partition(" = ")[0] for row in ROWS} | {"jam / cold"}, "jam is worked out, not printed"


@pytest.mark.parametrize(("told", "cups"), DATA["a-pound-in-cups"]["rows"].items())
def test_a_pound_fills_so_many_cups(told: str, cups: str) -> None:
    found = volume_of(exactly(convert(Fraction(1), "lb", "g")), "cup", of(told))
    in_the_middle = 2 / (1 / float(found.lo) + 1 / float(found.hi))  # the cups of the weight between the two
    assert in_the_middle == pytest.approx(float(cups), abs=float(DATA["a-pound-in-cups"]["within"]))


def test_five_pounds_of_sugar_in_cups() -> None:
    found = volume_of(exactly(convert(Fraction(5), "lb", "g")), "cup", of("sugar / granulated"))
    assert middle(found) == pytest.approx(float(DATA["a-pound-in-cups"]["five-pounds-of-sugar"]), abs=0.05)


@pytest.mark.parametrize(("told", "weigh"), DATA["eight-fluid-ounces"]["rows"].items())
def test_eight_fluid_ounces_do_not_weigh_eight_ounces(told: str, weigh: str) -> None:
    found = ounces(Fraction(8), of(told))
    assert found.by_weight == 8 * Fraction("28.349523125")
    measured = float(convert(found.by_measure.lo, "g", "oz"))
    assert measured == pytest.approx(float(weigh), abs=float(DATA["eight-fluid-ounces"]["within"]))


@pytest.mark.parametrize(("told", "spoon", "grams", "near"), DATA["spoons"]["rows"])
def test_spoons_weigh_their_part_of_the_cup(told: str, spoon: str, grams: str, near: str) -> None:
    found = grams_in(exactly(1), spoon, of(told))
    assert float(found.lo) == float(found.hi) == pytest.approx(float(grams), abs=float(near))


def test_a_cup_of_berries_is_wide_and_narrows_with_the_berry() -> None:
    any_berry, raspberries = (
        grams_in(exactly(1), "cup", weights_of(TABLE, foods)) for foods in (BERRIES, frozenset({"raspberry"}))
    )
    assert any_berry == Span(Fraction("110.7"), Fraction("162.8"))
    assert any_berry.lo == raspberries.lo and raspberries.hi < any_berry.hi


def test_a_cut_that_is_not_told_leaves_all_of_them_possible() -> None:
    cuts = {each.cut for each in weights_of(TABLE, frozenset({"strawberry"}))}
    assert cuts == {"halved", "puree"}
    assert grams_in(exactly(1), "cup", weights_of(TABLE, frozenset({"strawberry"}))).hi > 232


def test_the_cup_of_another_country_holds_its_own_part() -> None:
    us, metric = (grams_in(exactly(1), unit, of("sugar / granulated")).lo for unit in ("cup", "metric cup"))
    assert float(metric / us) == pytest.approx(250 / 236.5882365)


@given(spans(0, 100), st.sampled_from(TABLE), st.sampled_from(["cup", "tbsp", "mL", "pint", "imperial pint"]))
def test_to_grams_and_back_comes_to_the_same_or_wider(amount: Span, weight: CupWeight, unit: str) -> None:
    grams = grams_in(amount, unit, (weight,))
    back = volume_of(grams, unit, (weight,))
    assert back.lo <= amount.lo <= amount.hi <= back.hi
    if weight.grams.lo == weight.grams.hi:
        assert back == amount


@given(spans(0, 100), st.sets(st.sampled_from(TABLE), min_size=1), st.sampled_from(TABLE))
def test_one_more_possibility_never_narrows_the_weight(amount: Span, some: set[CupWeight], other: CupWeight) -> None:
    narrow, wide = (grams_in(amount, "cup", each) for each in (some, {*some, other}))
    assert wide == hull([narrow, grams_in(amount, "cup", (other,))])


@given(st.fractions(0, 100, max_denominator=8), st.fractions(1, 10, max_denominator=8), st.sampled_from(TABLE))
def test_more_cups_weigh_more(cups: Fraction, more: Fraction, weight: CupWeight) -> None:
    less, greater = (grams_in(exactly(amount), "cup", (weight,)) for amount in (cups, cups + more))
    assert less.lo < greater.lo and less.hi < greater.hi


@pytest.mark.parametrize(("call", "todo"), [
    (lambda: weights_of(TABLE, frozenset({"haggis"})), "haggis: it is not in the table: weigh it"),
    (lambda: weights_of(TABLE, frozenset({"apple"}), "whole"), "the table has only: chopped, sliced"),
    (lambda: weights_of(TABLE, frozenset()), "known for nothing"), (lambda: grams_in(exactly(1), "lb", TABLE), "give cups, spoons or mL"),
    (lambda: grams_in(exactly(-1), "cup", TABLE), "give how many"), (lambda: volume_of(exactly(-1), "cup", TABLE), "give g"),
    (lambda: volume_of(exactly(1), "inch", TABLE), "give cups, spoons or mL"), (lambda: grams_in(exactly(1), "cup", ()), "name at least one"),
    (lambda: ounces(Fraction(-1), TABLE), "give how many"),
])  # fmt: skip
def test_what_cannot_be_worked_out_says_what_to_do(call: Any, todo: str) -> None:
    with pytest.raises(ValueError, match=todo):
        call()
