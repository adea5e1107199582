"""What a cup of something weighs, as a span: pieces lie closer or looser, cut finer or coarser; and ounces of two kinds.

Weights are g for a US cup (236.6 mL), level, as published for each food and cut.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from bot.kitchen.span import Span, checked, exactly, hull
from bot.kitchen.units import FACTORS, convert

_MOST = 1_000_000


class CupWeight(NamedTuple):
    """One food in one cut: g in a US cup, from loosely to closely packed."""

    food: str
    cut: str
    grams: Span


class Ounces(NamedTuple):
    """What "8 oz" of something may be, g: by weight it is known; by the measuring cup (fluid ounces) it depends on the food."""

    by_weight: Fraction
    by_measure: Span


def weights_of(weights: Iterable[CupWeight], foods: frozenset[str], cut: str | None = None) -> tuple[CupWeight, ...]:
    """The rows of the table that may be meant: of any of these foods, in this cut or, when none is told, in any.

    Raises ValueError when there is no such row.
    """
    of_food = [each for each in weights if each.food in foods]
    found = tuple(each for each in of_food if cut is None or each.cut == cut)
    if not found:
        cuts = ", ".join(sorted({each.cut for each in of_food}))
        todo = f"for it the table has only: {cuts}" if cuts else "it is not in the table: weigh it"
        raise ValueError(f"no weight of a cup is known for {', '.join(sorted(foods)) or 'nothing'}: {todo}")
    return found


def grams_in(amount: Span, unit: str, weights: Iterable[CupWeight]) -> Span:
    """Weight of a volume, g, over every food and cut that it may be: a cup of raspberries or blueberries is 111 to 163 g.

    Raises ValueError for a unit that is no volume, for amounts under 0 or above 1,000,000, and when there is no row.
    """
    checked(amount, "an amount", 0, _MOST, "give how many")
    cups = convert(Fraction(1), _volume(unit), "cup")
    return hull(each.grams for each in weights).times(amount).times(exactly(cups))


def volume_of(grams: Span, unit: str, weights: Iterable[CupWeight]) -> Span:
    """Volume of a weight in a unit, over every food and cut that it may be. Errors as `grams_in`."""
    checked(grams, "the weight", 0, _MOST, "give g")
    cup = hull(each.grams for each in weights)
    per_cup = convert(Fraction(1), "cup", _volume(unit))
    return Span(grams.lo / cup.hi * per_cup, grams.hi / cup.lo * per_cup)


def ounces(amount: Fraction, weights: Iterable[CupWeight]) -> Ounces:
    """Both readings of so many "ounces": 8 oz of sugar weigh 227 g, 8 fl oz of it 200 g.

    Raises ValueError for amounts under 0 or above 1,000,000, and when there is no row.
    """
    by_measure = grams_in(exactly(amount), "fl oz", weights)
    return Ounces(convert(amount, "oz", "g"), by_measure)


def _volume(unit: str) -> str:
    if unit not in FACTORS["volume"]:
        raise ValueError(f"'{unit}' is not a volume: give cups, spoons or mL")
    return unit
