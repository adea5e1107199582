"""Remaking a soft batch: the printed proportions, lots no larger than the guide allows, acid never short."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from bot.kitchen.remake import Ingredient, RemakeProportions, remake
from bot.kitchen.units import convert, kitchen_measure

ROOT = Path(__file__).parents[2]


def read(path: str) -> dict[str, Any]:
    found: dict[str, Any] = yaml.load((ROOT / path).read_text("utf-8"), Loader=yaml.BaseLoader)
    return found


PUBLISHED = read("tests/published/remake.yaml")
KINDS = ("powder", "liquid", "none")
PRINTED = [(kind, cups, amounts) for kind in KINDS for cups, amounts in PUBLISHED[kind]["cups"].items()]
MEASURES = {"cup": 48, "tbsp": 3, "tsp": 1}
batches = st.fractions(Fraction(1, 2), 40, max_denominator=16)


def proportions(kind: str) -> RemakeProportions:
    row = read("knowledge/tables/remake.yaml")["rows"][kind]
    return RemakeProportions(
        tuple(
            Ingredient(
                each["name"],
                convert(Fraction(each["amount"]), each["unit"], "tsp"),
                Fraction(each["grams_per_cup"]) if "grams_per_cup" in each else None,
                each.get("never_below") == "yes",
            )
            for each in row["ingredients"]
        ),
        Fraction(row["most_cups"]),
    )


BY_KIND = {kind: proportions(kind) for kind in KINDS}


def number(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.split()), Fraction(0))


def teaspoons(measure: str) -> Fraction:
    terms = [term.rsplit(" ", 1) for term in measure.split(" + ")]
    return sum((number(amount) * MEASURES[unit.removesuffix("s")] for amount, unit in terms), Fraction(0))


@pytest.mark.parametrize(("kind", "cups", "printed"), PRINTED)
def test_all_lots_together_take_what_the_guide_prints_for_the_batch(kind: str, cups: str, printed: list[str]) -> None:
    made = remake(number(cups), BY_KIND[kind])
    assert [each.name for each in made.amounts] == PUBLISHED[kind]["columns"]
    assert [each.teaspoons * made.lots for each in made.amounts] == [teaspoons(measure) for measure in printed]
    if made.lots == 1:
        assert [each.measure for each in made.amounts] == printed


@pytest.mark.parametrize(("cups", "lots", "each"), [
    ("1", 1, "1"), ("4", 1, "4"), ("9/2", 2, "9/4"), ("5", 2, "5/2"), ("6", 2, "3"), ("7", 2, "7/2"), ("8", 2, "4"), ("81/10", 3, "27/10"),
    ("12", 3, "4"), ("14", 4, "7/2"),
])  # fmt: skip
def test_more_than_four_cups_are_split_into_equal_lots(cups: str, lots: int, each: str) -> None:
    made = remake(Fraction(cups), BY_KIND["powder"])
    assert (made.lots, made.cups_per_lot) == (lots, Fraction(each))


def test_a_quart_is_told_in_spoons_with_grams_or_millilitres_beside() -> None:
    powder = remake(Fraction(4), BY_KIND["powder"])
    assert [each.text for each in powder.amounts] == [
        "1/4 cup (50 g) sugar",
        "1/2 cup (118 mL) water",
        "2 tbsp (30 mL) bottled lemon juice",
        "4 tsp (20 mL) powdered pectin",
    ]
    liquid = remake(Fraction(4), BY_KIND["liquid"])
    assert [each.metric_text for each in liquid.amounts] == [
        "150 g (3/4 cup) sugar",
        "30 mL (2 tbsp) bottled lemon juice",
        "30 mL (2 tbsp) liquid pectin",
    ]


def test_the_two_pectins_are_not_mixed_up() -> None:
    with_powder, with_liquid = (
        teaspoons(remake(Fraction(4), BY_KIND[kind]).amounts[0].measure) for kind in ("powder", "liquid")
    )
    assert with_liquid == 3 * with_powder, "liquid pectin takes three times the sugar"


@given(batches, st.sampled_from(KINDS))
def test_lots_are_within_the_limit_and_as_few_as_can_be(cups: Fraction, kind: str) -> None:
    made = remake(cups, BY_KIND[kind])
    assert made.cups_per_lot <= 4
    assert made.lots * made.cups_per_lot == cups
    assert made.lots == 1 or cups / (made.lots - 1) > 4


@given(batches, st.sampled_from(KINDS))
def test_acid_is_never_short_in_spoons_or_in_millilitres(cups: Fraction, kind: str) -> None:
    made = remake(cups, BY_KIND[kind])
    (acid,) = [each for each in made.amounts if each.name == "bottled lemon juice"]
    assert acid.teaspoons == made.cups_per_lot * Fraction(3, 2)
    assert teaspoons(acid.measure) >= acid.teaspoons
    assert Fraction(acid.metric.removesuffix(" mL")) >= convert(acid.teaspoons, "tsp", "mL")


@given(batches)
def test_twice_the_jam_takes_twice_of_everything(cups: Fraction) -> None:
    for kind in KINDS:
        once, twice = remake(cups, BY_KIND[kind]), remake(2 * cups, BY_KIND[kind])
        for one, two in zip(once.amounts, twice.amounts, strict=True):
            assert two.teaspoons * twice.lots == 2 * one.teaspoons * once.lots


def test_an_ingredient_that_need_not_be_rounded_up_goes_to_the_nearest() -> None:
    loose = RemakeProportions(
        (Ingredient("one", Fraction(10)), Ingredient("two", Fraction(10), never_below=True)), Fraction(4)
    )
    one, two = remake(Fraction(401, 100), loose).amounts
    assert teaspoons(one.measure) < Fraction(one.teaspoons) < teaspoons(two.measure)
    assert one.measure == kitchen_measure(one.teaspoons)


@pytest.mark.parametrize(("cups", "most"), [(0, 4), (-1, 4), (2, 0)])
def test_no_jam_or_no_limit_cannot_be_shared_out(cups: int, most: int) -> None:
    with pytest.raises(ValueError, match="cannot split"):
        remake(Fraction(cups), RemakeProportions((), Fraction(most)))
