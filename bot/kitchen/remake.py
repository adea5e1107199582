"""What to add when a batch that did not set is cooked again, lot by lot.

What the ingredients are and how much each quart takes comes in from the published table; here they are only scaled and split.
"""

from fractions import Fraction
from math import ceil
from typing import NamedTuple

from bot.kitchen.units import TSP_PER_CUP, convert, kitchen_measure


class Ingredient(NamedTuple):
    """One thing to add: teaspoons (above 0) for each US quart (4 cups) of the batch.

    `grams_per_cup` is for what is better weighed; without it millilitres stand beside the spoons. `never_below` rounds up, for what
    keeps the batch safe.
    """

    name: str
    teaspoons_per_quart: Fraction
    grams_per_cup: Fraction | None = None
    never_below: bool = False


class RemakeProportions(NamedTuple):
    """One published way of cooking a batch again. `most_cups` (above 0) is how much may be cooked at a time."""

    ingredients: tuple[Ingredient, ...]
    most_cups: Fraction


class Amount(NamedTuple):
    """How much of one ingredient a lot takes: exact US teaspoons, and the same as spoons and as grams or millilitres."""

    name: str
    teaspoons: Fraction
    measure: str
    metric: str

    @property
    def text(self) -> str:
        """ "2 tbsp (30 mL) ..." """
        return f"{self.measure} ({self.metric}) {self.name}"

    @property
    def metric_text(self) -> str:
        """ "30 mL (2 tbsp) ..." """
        return f"{self.metric} ({self.measure}) {self.name}"


class Remake(NamedTuple):
    """Cook `lots` lots of `cups_per_lot` US cups, one after the other; each takes all of `amounts`."""

    lots: int
    cups_per_lot: Fraction
    amounts: tuple[Amount, ...]


def remake(cups: Fraction, proportions: RemakeProportions) -> Remake:
    """Amounts for a batch of so many US cups, split into the fewest equal lots of at most `proportions.most_cups`.

    Amount = amount per quart * cups / 4 (the proportions of USDA Complete Guide to Home Canning, Guide 7 (2015), are printed per
    quart and for a limited batch at a time).

    Raises ValueError when `cups` or the limit is not above 0.
    """
    if cups <= 0 or proportions.most_cups <= 0:
        raise ValueError(f"cannot split {cups} cups into lots of at most {proportions.most_cups} cups")
    lots = ceil(cups / proportions.most_cups)
    return Remake(lots, cups / lots, tuple(_amount(each, cups / lots) for each in proportions.ingredients))


def _amount(ingredient: Ingredient, cups: Fraction) -> Amount:
    teaspoons = ingredient.teaspoons_per_quart * cups / 4
    measure = kitchen_measure(teaspoons, ingredient.never_below)
    if ingredient.grams_per_cup is not None:
        metric = f"{_whole(ingredient.grams_per_cup * teaspoons / TSP_PER_CUP, ingredient.never_below)} g"
    else:
        metric = f"{_whole(convert(teaspoons, 'tsp', 'mL'), ingredient.never_below)} mL"
    return Amount(ingredient.name, teaspoons, measure, metric)


def _whole(number: Fraction, never_below: bool) -> str:
    """To the whole gram or millilitre, to the half under 10: a syringe or a small scale is read no finer."""
    step = Fraction(1) if number >= 10 else Fraction(1, 2)
    count = ceil(number / step) if never_below else max(round(number / step), 1)
    return f"{float(count * step):g}"
