"""Amounts that are only known from one end to the other, as a cook reads them: the person's own unit first, rounded outward."""

from __future__ import annotations

from fractions import Fraction

from bot.kitchen.ranges import Range, outward
from bot.kitchen.units import convert, mixed

_CUP, _TBSP = (float(convert(Fraction(1), unit, "mL")) for unit in ("cup", "tbsp"))
_LEAST_CUPS_ML = 240.0  # under a cup it is told in spoons


def volume(ml: Range, metric: bool) -> str:
    """ "2 to 3 1/4 cups (490 to 760 mL)", "2 1/4 to 2 3/4 tbsp (33 to 39 mL)"; mL first when `metric`."""
    unit, size = ("cups", _CUP) if ml.hi >= _LEAST_CUPS_ML else ("tbsp", _TBSP)
    si = outward(Range(ml.lo, ml.hi, "mL"), 10.0 if ml.hi >= _LEAST_CUPS_ML else 1.0).text
    ends = outward(Range(ml.lo / size, ml.hi / size, unit), 0.25)
    us = f"{' to '.join(mixed(Fraction(each)) for each in ends[:2])} {unit}"
    return f"{si} ({us})" if metric else f"{us} ({si})"


def weight(grams: float, metric: bool) -> str:
    """ "5 1/4 lb (2.4 kg)", rounded up to a quarter of a pound and a tenth of a kilogram; kg first when `metric`."""
    pounds = outward(Range(grams / 453.59237, grams / 453.59237, "lb"), 0.25).hi
    us, si = f"{mixed(Fraction(pounds))} lb", f"{outward(Range(grams / 1000, grams / 1000, 'kg'), 0.1).hi:g} kg"
    return f"{si} ({us})" if metric else f"{us} ({si})"
