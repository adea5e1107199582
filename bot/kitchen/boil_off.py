"""How much water a batch has still to lose, and how many minutes of boiling that may take: always from one number to another.

Masses are grams, rates grams of water a minute. Every function is for an open pot at a hard boil that stirring does not stop: with
a lid, at a simmer or in a narrow deep pot there is no estimate. The short end is told first, because what is boiled too far cannot
be mended and what is not boiled enough can (Michigan State University Extension, Preserving Food Safely, 1997). The plate test
decides; nothing here says whether a jar is safe.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from math import pi
from typing import NamedTuple

from bot.kitchen.boiling import boiling_point_f
from bot.kitchen.boiling_rise import INVERTED, checked_rise, pressure_where_water_boils_at, solids_at_rise
from bot.kitchen.ranges import Range, outward, told_in
from bot.kitchen.soluble_solids import Part, batch_grams, dissolved_grams
from bot.kitchen.units import f_to_c

TARGET_PERCENT = 65.0  # what US law asks of a finished jam (21 CFR 150), and what is taught
_LOWEST_TARGET, _HIGHEST_TARGET = 40.0, 72.0
_NARROWEST_CM, _WIDEST_CM = 10.0, 60.0
_LEAST_G = 1.0  # of water: no scale in a kitchen tells less
_LEAST_RISE_F, _SAME_THERMOMETER_F = 2.0, 0.5
_WATER_G_PER_MM_CM2 = 0.0958  # a millimetre on a square centimetre, at the boil


class PastTarget(ValueError):
    """The batch has no water left to lose. Nothing is wrong with what was told: the pot comes off the heat."""


class Evaporation(NamedTuple):
    """Published and practised figures. `kg_per_m2_hour`: water lost by an open hard boil, "kg/m²h". `near_the_end` (over 0, at most
    1): what is left of a rate measured earlier, once the heat is turned down and the pot is thick."""

    kg_per_m2_hour: Range
    near_the_end: float


def finished_grams(parts: Sequence[Part], target: float = TARGET_PERCENT) -> Range:
    """What the batch weighs at the target, g: dissolved grams / (target / 100) (conservation of mass). Target 40 to 72 %.

    Raises ValueError for another target, for an empty pot and for a part that cannot be.
    """
    share, dissolved = _share(target), dissolved_grams(parts)
    return Range(dissolved.lo / share, dissolved.hi / share, "g")


def water_to_boil_off(parts: Sequence[Part], target: float = TARGET_PERCENT) -> Range:
    """Water between what went into the pot and the target, g: all grams - dissolved grams / (target / 100). Target 40 to 72 %.

    Each part brings grams * (1 - solids / target), so that the same doubt about a weight is not counted twice.

    Raises PastTarget (a ValueError) for a batch at or past the target, ValueError for another target, an empty pot, and a part that
    cannot be.
    """
    _share(target)
    dissolved_grams(parts)  # refuses parts that cannot be
    weakest = [(part.grams, 1 - part.solids.lo / target) for part in parts]
    strongest = [(part.grams, 1 - part.solids.hi / target) for part in parts]
    least = sum(min(grams.lo * water, grams.hi * water) for grams, water in strongest)
    most = sum(max(grams.lo * water, grams.hi * water) for grams, water in weakest)
    return _still_to_lose(least, most, target)


def water_left_by_weight(parts: Sequence[Part], weight_now: Range, target: float = TARGET_PERCENT) -> Range:
    """Water still to lose, g, from the weight of the contents now: weight - dissolved grams / (target / 100). Target 40 to 72 %.

    Raises ValueError for a weight above what went in (the pot is in it) or below what is dissolved, and as `water_to_boil_off`.
    """
    share, dissolved, start = _share(target), dissolved_grams(parts), batch_grams(parts)
    told_in(weight_now, "g", "the weight of the contents")
    if weight_now.lo > start.hi:
        raise ValueError(
            f"the contents weigh {weight_now.text}, but {start.text} went in: take the weight of the empty pot off"
        )
    if weight_now.hi < dissolved.lo:
        raise ValueError(
            f"the contents weigh {weight_now.text}, less than the {dissolved.text} dissolved in them: weigh again"
        )
    return _still_to_lose(weight_now.lo - dissolved.hi / share, weight_now.hi - dissolved.lo / share, target)


def water_left_by_solids(parts: Sequence[Part], solids_now: Range, target: float = TARGET_PERCENT) -> Range:
    """Water still to lose, g, from the soluble solids now, %: dissolved grams * (100 / solids - 100 / target). Target 40 to 72 %.

    The solids come from a refractometer or from `solids_from_reading`. Raises ValueError as `water_to_boil_off`.
    """
    share, dissolved = _share(target), dissolved_grams(parts)
    told_in(solids_now, "%", "the soluble solids now", least=1.0, most=100.0)
    least, most = (100 / solids - 1 / share for solids in (solids_now.hi, solids_now.lo))
    return _still_to_lose(dissolved.lo * least, dissolved.hi * most, target)


def rate_from_width(width: Range, evaporation: Evaporation) -> Range:
    """Water lost by an open hard boil, g/min, from the inner width of the pot ("cm", 10 to 60): rate * π * width² / 4.

    The table's rate is a range of more than one to two, because stove, depth and batch are not known; its slow end already holds
    the slowing near the end. The stove may allow less: see `rate_from_heat`.

    Raises ValueError without a width that a pot can have.
    """
    told_in(width, "cm", "the width of the pot, measured inside across the top,", _NARROWEST_CM, _WIDEST_CM)
    each = told_in(evaporation.kg_per_m2_hour, "kg/m²h", "the rate of evaporation")
    return Range(each.lo * _area_cm2(width.lo) / 600, each.hi * _area_cm2(width.hi) / 600, "g/min")


def rate_from_heat(kilowatts: Range, efficiency: Range, feet: float = 0.0) -> Range:
    """The most that a stove can boil off, g/min: power ("kW", up to 15) * efficiency ("%") / heat of evaporation.

    The heat is 2,256.5 kJ/kg at 99.97 °C and 2.61 more for each degree cooler (a straight line through IAPWS-IF97, within 0.2 up to
    10,000 ft). Take the `slower` of this and `rate_from_width`. Raises ValueError for what no stove has and as `boiling_point_f`.
    """
    told_in(kilowatts, "kW", "the power of the burner", 0.1, 15.0)
    told_in(efficiency, "%", "the efficiency of the burner", 1.0, 100.0)
    heat = 2_256.5 + 2.61 * (99.974 - f_to_c(boiling_point_f(feet)))
    for_each = 60_000 / 100 / heat  # g/min for each kW and %
    return Range(kilowatts.lo * efficiency.lo * for_each, kilowatts.hi * efficiency.hi * for_each, "g/min")


def slower(one: Range, other: Range) -> Range:
    """The smaller of two rates, end by end: what the surface lets go and what the stove can drive off both have to hold."""
    told_in(one, "g/min", "a rate")
    told_in(other, "g/min", "a rate")
    return Range(min(one.lo, other.lo), min(one.hi, other.hi), "g/min")


def rate_from_weighings(first: Range, later: Range, minutes: Range, evaporation: Evaporation) -> Range:
    """Water lost at this boil, g/min, from two weights in g some minutes ("min") apart. With or without the pot, but both alike.

    The slow end is `near_the_end` of what was measured. Raises ValueError when the two cannot be told apart or no time lies between.
    """
    told_in(first, "g", "the first weight")
    told_in(later, "g", "the later weight")
    return _measured(Range(first.lo - later.hi, first.hi - later.lo, "g"), minutes, evaporation)


def rate_from_levels(width: Range, drop: Range, minutes: Range, evaporation: Evaporation) -> Range:
    """Water lost at this boil, g/min, from how far the level sank ("mm", foam off) in so many minutes ("min") in a pot "cm" wide.

    1 mm on 1 cm² is 0.0958 g, the density of water at the boil. Raises ValueError as `rate_from_weighings` and `rate_from_width`.
    """
    told_in(width, "cm", "the width of the pot, measured inside across the top,", _NARROWEST_CM, _WIDEST_CM)
    told_in(drop, "mm", "the drop of the level")
    lost = Range(drop.lo * _area_cm2(width.lo), drop.hi * _area_cm2(width.hi), "mm cm²")
    return _measured(Range(lost.lo * _WATER_G_PER_MM_CM2, lost.hi * _WATER_G_PER_MM_CM2, "g"), minutes, evaporation)


def minutes_left(water: Range, rate: Range) -> Range:
    """Minutes of boiling for so much water (g) at such a rate (g/min), whole minutes, outward; never one number.

    Raises ValueError for no water and for a rate that is not above 0.
    """
    told_in(water, "g", "the water")
    told_in(rate, "g/min", "the rate")
    if not rate.lo > 0 or not water.hi > 0:
        raise ValueError(f"{water.text} at {rate.text} has no end: give water still to lose, and a rate above 0")
    return outward(Range(water.lo / rate.hi, water.hi / rate.lo, "min"), 1.0)


def minutes_from_readings(
    first_f: float,
    later_f: float,
    boiling_water_f: float,
    minutes: Range,
    evaporation: Evaporation,
    target: float = TARGET_PERCENT,
) -> Range:
    """Minutes left, whole, outward, from two readings of the batch (°F) so many minutes ("min") apart. Target 40 to 72 %.

    With w the solids at a reading, minutes * (1/w_later - 1/target) / (1/w_first - 1/w_later): how much is in the pot cancels. All
    readings are one thermometer's, so each is taken half a degree either way, with the same share of split sugars for both.
    The long end is divided by `near_the_end`.

    Raises PastTarget (a ValueError) past the target, ValueError when the readings cannot be told apart or the first is under 2, one
    over 12 °F above boiling water.
    """
    _share(target)
    told_in(minutes, "min", "the time between the readings", 0.5)
    rises = checked_rise(first_f, boiling_water_f), checked_rise(later_f, boiling_water_f)
    if rises[0] < _LEAST_RISE_F:
        raise ValueError(
            f"{rises[0]:g} °F above boiling water tells nothing yet: begin from {_LEAST_RISE_F:g} °F above"
        )
    if rises[1] - rises[0] <= 2 * _SAME_THERMOMETER_F:
        raise ValueError(f"{first_f:g} and {later_f:g} °F cannot be told apart: read again once it is 2 °F hotter")
    pascals, error = pressure_where_water_boils_at(boiling_water_f), _SAME_THERMOMETER_F
    times = []  # the time between the readings that is still to come
    for water_error, reading_error, inverted in product((-error, error), (-error, error), INVERTED):
        first = solids_at_rise(rises[0] + water_error + reading_error, inverted, pascals)
        later = solids_at_rise(rises[1] + water_error - reading_error, inverted, pascals)
        times.append((1 / later - 1 / target) / (1 / first - 1 / later))
    if max(times) <= 0:
        raise PastTarget(_past(target))
    return outward(Range(minutes.lo * max(min(times), 0.0), minutes.hi * max(times) / _kept(evaporation), "min"), 1.0)


def _area_cm2(width: float) -> float:
    return pi * width**2 / 4


def _measured(lost: Range, minutes: Range, evaporation: Evaporation) -> Range:
    told_in(minutes, "min", "the time between", 0.5)
    if not lost.lo > 0:
        raise ValueError("the two cannot be told apart: boil some minutes longer, then measure again")
    return Range(lost.lo / minutes.hi * _kept(evaporation), lost.hi / minutes.lo, "g/min")


def _kept(evaporation: Evaporation) -> float:
    if not 0 < evaporation.near_the_end <= 1:
        raise ValueError(f"{evaporation.near_the_end} cannot be left of a rate: give more than 0 and at most 1")
    return evaporation.near_the_end


def _share(target: float) -> float:
    if not _LOWEST_TARGET <= target <= _HIGHEST_TARGET:
        raise ValueError(
            f"{target:g} % is no target of soluble solids: give {_LOWEST_TARGET:g} to {_HIGHEST_TARGET:g} %"
        )
    return target / 100


def _still_to_lose(least: float, most: float, target: float) -> Range:
    if most < _LEAST_G:
        raise PastTarget(_past(target))
    return Range(max(least, 0.0), most, "g")


def _past(target: float) -> str:
    return f"already at or past {target:g} %, no water is left to boil off: take the pot off the heat and test a cooled sample"
