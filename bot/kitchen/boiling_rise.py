"""How far above boiling water a solution of sugars boils, and what share of it is dissolved when it boils that far above.

Rises are differences in °F, solids per cent by mass, pressures pascals. All of it tells about texture only: nothing here says
whether a jar is safe.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import exp, sqrt
from typing import NamedTuple

from bot.kitchen.boiling import saturation_temperature_c
from bot.kitchen.ranges import Range, outward
from bot.kitchen.units import f_to_c

STANDARD_PA = 101_325.0
LOWEST_PERCENT, HIGHEST_PERCENT = 10.0, 80.0
# Share of the sugars that has split into glucose and fructose. Measured in finished jams and jellies from 4.9 to 58.8 % of what was
# added (Tolman, Munson and Bigelow 1901, in Experimental Cookery), aimed at in teaching 30 to 50 %; the fruit's own are mostly split.
INVERTED = (0.15, 0.50)
READING_ERROR_F = 1.0  # of a kitchen thermometer, once its own reading in boiling water is taken off
FAR_FROM_SET_F, OVERCOOKED_F, NO_READING_F = 5.0, 12.0, 15.0

_MOLAR_G = {"sucrose": 342.30, "split": 180.16, "water": 18.015}
_GAS_CONSTANT = 8.314462618
_NORRISH_SUCROSE, _NORRISH_SPLIT = 6.47, 2.25


class PublishedRise(NamedTuple):
    """One line of a published table: a solution of `percent` sucrose boils `celsius` degrees above water at one atmosphere."""

    percent: float
    celsius: float


def sucrose_rise_f(percent: float, published: Sequence[PublishedRise]) -> Range:
    """How far above water a solution of pure sucrose boils at one atmosphere, °F, as far apart as the sources are.

    From the lowest to the highest of four: the published table (straight between its lines), and in °C, with B in per cent,
    x = B / 100 and P = 1,013.25 mbar,

        1.78 x + 6.22 x²                                        Geankoplis, Transport Processes and Unit Operations
        0.030612 B^0.094 exp(0.05328 B) P^0.1368                Crapiste and Lozano 1988 (constants from memory)
        the activity of water of Starzak and Peacock 1997       see `rise_f`

    They agree within 1 °F up to 60 % and are 4 °F apart at 70 %, so no jam is told its solids by one of them alone.

    Raises ValueError outside 10 to 80 %, or when the table does not reach that far.
    """
    if not LOWEST_PERCENT <= percent <= HIGHEST_PERCENT:
        raise ValueError(f"{percent} % is outside the tables: give {LOWEST_PERCENT:g} to {HIGHEST_PERCENT:g} %")
    share = percent / 100
    crapiste_lozano = 0.030612 * percent**0.094 * exp(0.05328 * percent) * (STANDARD_PA / 100) ** 0.1368
    celsius = (_between_lines(percent, published), 1.78 * share + 6.22 * share**2, crapiste_lozano)
    rises = [each * 1.8 for each in celsius] + [rise_f(percent, 0.0)]
    return Range(min(rises), max(rises), "°F")


def rise_f(percent: float, inverted: float, pascals: float = STANDARD_PA) -> float:
    """How far above water a solution of sugars boils, °F, when `inverted` (0 to 1) of them has split.

    Pure sucrose: water boils out of it where its activity times its vapour pressure is the pressure of the air, with
    ln γ = Q / (R T) x² (1 + a x + b x²), Q = -17,638 J/mol, a = -1.0038, b = -0.24653, x the mole fraction of sucrose (Starzak and
    Peacock, Zuckerindustrie 122, 1997). What splitting adds is the difference between two mixtures by the equation of Norrish,
    ln γ = -(Σ x √K)² with K = 6.47 for sucrose and 2.25 for glucose and fructose (constants from memory); smaller molecules raise the
    boiling point more. At 65 % that is 6.8 °F for none and 8.1 °F for 30 %, good to 0.2 °F. Height hardly matters: 0.2 °F less at
    5,000 ft.

    Raises ValueError outside 10 to 80 %, and for a share outside 0 to 1.
    """
    if not (LOWEST_PERCENT <= percent <= HIGHEST_PERCENT and 0 <= inverted <= 1):
        raise ValueError(
            f"no rise is known for {percent} % with a share of {inverted} split: give 10 to 80 % and 0 to 1"
        )
    share = percent / 100
    split = _norrish_boils_c(share, inverted, pascals) - _norrish_boils_c(share, 0.0, pascals)
    return (_sucrose_boils_c(share, pascals) - saturation_temperature_c(pascals) + split) * 1.8


def solids_at_rise(rise: float, inverted: float, pascals: float = STANDARD_PA) -> float:
    """Soluble solids, per cent, of a mixture of sugars that boils so many °F above water: `rise_f` turned round.

    Raises ValueError when no solution from 10 to 80 % boils that far above water.
    """
    low, high = LOWEST_PERCENT, HIGHEST_PERCENT
    hair = 1e-9  # what is left of rounding at the very ends
    if not rise_f(low, inverted, pascals) - hair <= rise <= rise_f(high, inverted, pascals) + hair:
        raise ValueError(f"nothing from 10 to 80 % boils {rise:g} °F above water: read both temperatures again")
    while high - low > 0.001:
        middle = (low + high) / 2
        low, high = (middle, high) if rise_f(middle, inverted, pascals) < rise else (low, middle)
    return (low + high) / 2


def solids_from_reading(reading_f: float, boiling_water_f: float) -> Range:
    """Soluble solids of a boiling jam, whole per cent, from two readings of one thermometer on one day: the jam, and plain water.

    Everything that fits: both ends of `INVERTED`, and readings 1 °F either way. 8 °F above water is 59 to 69 %, for a straight answer
    of 65 %; a scale tells more. It holds for fruit and sugars without starch. A height instead of the reading in water is not
    enough: weather and the thermometer would add 3 °F to the error.

    Raises ValueError where no figure is honest: under 5 °F above water (far from set: a degree is 5 % of solids there), over 12 °F
    (overcooked), and for readings that cannot be right.
    """
    rise = checked_rise(reading_f, boiling_water_f)
    if rise < FAR_FROM_SET_F:
        raise ValueError(
            f"{rise:g} °F above boiling water is far from set: boil on, and read again from {FAR_FROM_SET_F:g} °F above"
        )
    pascals = pressure_where_water_boils_at(boiling_water_f)
    least = solids_at_rise(rise - READING_ERROR_F, INVERTED[1], pascals)
    most = solids_at_rise(rise + READING_ERROR_F, INVERTED[0], pascals)
    return outward(Range(least, most, "%"), 1.0)


def checked_rise(reading_f: float, boiling_water_f: float) -> float:
    """The reading less the reading in boiling water, °F, from 0 to 12.

    Raises ValueError for anything else, and for a boiling point that no water has between sea level and 10,000 ft.
    """
    if not 190.0 <= boiling_water_f <= 216.0:
        raise ValueError(
            f"water does not boil at {boiling_water_f:g} °F in a kitchen: 190 to 216 °F; check the unit and read again"
        )
    rise = reading_f - boiling_water_f
    if not 0.0 <= rise <= NO_READING_F:
        raise ValueError(
            f"{rise:g} °F above boiling water is no reading of a boiling pot: stir, keep the probe off the base, read again"
        )
    if rise > OVERCOOKED_F:
        raise ValueError(f"{rise:g} °F above boiling water is past any set: take the pot off the heat and thin it")
    return rise


def pressure_where_water_boils_at(reading_f: float) -> float:
    """Pressure under which water boils at a temperature in °F (150 to 230), Pa. `saturation_temperature_c` turned round.

    Raises ValueError outside the range.
    """
    low, high = 25_000.0, 145_000.0
    if not 150.0 <= reading_f <= 230.0:
        raise ValueError(f"water does not boil at {reading_f:g} °F in a kitchen: check the unit and read again")
    while high - low > 1.0:
        middle = (low + high) / 2
        low, high = (middle, high) if saturation_temperature_c(middle) < f_to_c(reading_f) else (low, middle)
    return (low + high) / 2


def _between_lines(percent: float, published: Sequence[PublishedRise]) -> float:
    for lower, upper in pairwise(sorted(published)):
        if lower.percent <= percent <= upper.percent:
            part = (percent - lower.percent) / (upper.percent - lower.percent)
            return lower.celsius + part * (upper.celsius - lower.celsius)
    raise ValueError(f"the table has no lines around {percent} %: give one that reaches from below it to above it")


def _sucrose_boils_c(share: float, pascals: float) -> float:
    sucrose, water = share / _MOLAR_G["sucrose"], (1 - share) / _MOLAR_G["water"]
    x = sucrose / (sucrose + water)
    celsius = saturation_temperature_c(pascals)
    for _ in range(4):  # the activity depends on the temperature so little that this settles to 0.0001 °C
        activity = (1 - x) * exp(
            -17_638 / (_GAS_CONSTANT * (celsius + 273.15)) * x**2 * (1 - 1.0038 * x - 0.24653 * x**2)
        )
        celsius = saturation_temperature_c(pascals / activity)
    return celsius


def _norrish_boils_c(share: float, inverted: float, pascals: float) -> float:
    sucrose, split = share * (1 - inverted) / _MOLAR_G["sucrose"], share * inverted / _MOLAR_G["split"]
    water = (1 - share) / _MOLAR_G["water"]
    whole = sucrose + split + water
    pull = (sucrose * sqrt(_NORRISH_SUCROSE) + split * sqrt(_NORRISH_SPLIT)) / whole
    return saturation_temperature_c(pascals / (water / whole * exp(-(pull**2))))
