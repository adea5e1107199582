"""Amounts as they are told: in the person's own unit first, the other system in brackets, and no finer than they are known."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor, log10

from bot.engine.figures.amounts import PART, Amount
from bot.kitchen.span import Span
from bot.kitchen.units import convert, mixed

_OTHER_SYSTEM = {
    "lb": "kg", "oz": "g", "stone": "kg", "kg": "lb", "g": "oz", "L": "quart", "mL": "fl oz", "gallon": "L",
    "in": "mm", "ft": "m", "mm": "in", "cm": "in", "m": "ft", **dict.fromkeys(("tsp", "tbsp", "cup", "pint", "quart", "fl oz"), "mL"),
}  # fmt: skip
_SEVERAL = {"cup", "pint", "quart", "gallon"}  # words that take an s; the others are signs
_METRIC = {"g", "kg", "mL", "L", "mm", "cm", "m"}
_SIXTEENTHS = 16


def other_system(unit: str) -> str:
    """The unit of the other system that stands beside this one; empty where none does."""
    return _OTHER_SYSTEM.get(unit, "")


def significant(figure: Fraction | float, digits: int = 3) -> str:
    """A figure of 0 or more with so many digits that count, and none behind the point from 100 up: "907", "4.23", "2.2"."""
    value = float(figure)
    if value <= 0:
        return "0"
    places = max(digits - 1 - floor(log10(value)), 0)
    text = f"{round(value, places):,.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def counted(figure: Fraction, unit: str) -> str:
    """An amount in its own unit as people write it: "2 1/2 cups", "1.5 kg", "3 tbsp"."""
    neat = unit not in _METRIC and (figure * _SIXTEENTHS).denominator == 1 and figure < 100
    return f"{mixed(figure) if neat else significant(figure, 4)} {label(unit, figure)}"


def label(unit: str, figure: Fraction) -> str:
    """The unit as it stands behind a figure: "cups", "kg"."""
    return f"{unit}s" if unit in _SEVERAL and figure > 1 else unit


def both(amount: Amount) -> str:
    """ "5 lb (2.27 kg)", "1 L (1.06 quarts)", "3 to 4 cups (710 to 946 mL)"; a part of a mixture is told as it is."""
    other = other_system(amount.unit)
    if amount.unit == PART or not other:
        return counted(amount.figure.lo, amount.unit)
    low, high = (convert(end, amount.unit, other) for end in amount.figure)
    own = counted(amount.figure.hi, amount.unit)
    if amount.figure.lo != amount.figure.hi:
        own = f"{counted(amount.figure.lo, amount.unit).split(' ')[0]} to {own}"
    digits = 3 if high >= 100 else 2
    told = significant(high, digits) if low == high else f"{significant(low, digits)} to {significant(high, digits)}"
    return f"{own} ({told} {label(other, high)})"


def grams_up(grams: Fraction) -> str:
    """A weight of which less would be wrong: whole grams, rounded up, with ounces: "45 g (1.6 oz)"."""
    return _with_ounces(ceil(grams), ceil(grams))


def grams_between(grams: Span) -> str:
    """A weight to aim at: whole grams inside the ends, with ounces."""
    low, high = ceil(grams.lo), floor(grams.hi)
    return _with_ounces(low, max(low, high))


def _with_ounces(low: int, high: int) -> str:
    ounces = [significant(convert(Fraction(end), "g", "oz"), 2) for end in (low, high)]
    grams = [f"{end:,}" for end in (low, high)]
    return " to ".join(dict.fromkeys(grams)) + f" g ({' to '.join(dict.fromkeys(ounces))} oz)"


def per_cent(span: Span, hundredths: bool = False) -> str:
    """ "2.3 %", "1.1 to 1.9 %": both ends cut, never rounded up; to a hundredth for what was weighed."""
    steps = 100 if hundredths else 10
    low, high = (f"{floor(end * steps) / steps:g}" for end in span)
    return f"{low} %" if low == high else f"{low} to {high} %"
