"""What a kitchen thermometer is worth: how far it is off, and between which temperatures the truth lies behind a reading.

Temperatures are °F, heights feet. An offset is how much too high a thermometer reads; negative when it reads low. Where the truth is
not known it is an interval: its low end is for what must be reached, its high end for what must not be passed.
"""

from __future__ import annotations

from math import isfinite
from typing import Literal, NamedTuple

from bot.kitchen.boiling import boiling_point_f, thermometer_offset
from bot.kitchen.units import c_to_f

ACCURATE_WITHIN_F = 2.0
QUESTIONED_OVER_F = 5.0
# No water boils outside these between the sea and 10,000 ft, whatever the weather: 211.95 and 193.66 °F in average weather, 1.4 °F
# either way for the weather, and the rest for a slack reading.
LOWEST_BOILING_F, HIGHEST_BOILING_F = 190.0, 216.0
# Of an offset that was found in boiling water: weather 1.4, height 0.9 for 500 ft not known, the reading itself 1; they seldom add up.
OFFSET_UNCERTAINTY_F = 2.0
# Water in a bath on the stove is told between these: as °F nothing is so cold, as °C nothing so hot.
_BETWEEN_THE_UNITS = 110.0
_ICE_F, _ICE_WITHIN_F = 32.0, 5.0
_RANGE_TOP_FEET = 10_000.0

OffsetClass = Literal["accurate", "off", "questioned", "impossible"]


class Interval(NamedTuple):
    """The truth lies from `lo` to `hi`, both included."""

    lo: float
    hi: float


def offset_class(boiling_reading_f: float, feet: float) -> OffsetClass:
    """What a reading in boiling water says of the thermometer at this height.

    - "accurate": within 2 °F, which cannot be told from weather (food thermometer guidance of the extension services).
    - "off": from there to 5 °F. Correct readings, and keep a margin (worked out: 5 °F is 2,700 ft of height).
    - "questioned": over 5 °F. Broken, another height or unit, the probe on metal, or no full boil: decides nothing before it was
      checked in ice water (common practice).
    - "impossible": no boiling water. Over 216 °F, or under 190 °F up to 10,000 ft; higher up 3.7 °F under the boiling point there,
      which is the same margin (worked out from the standard atmosphere, IAPWS-IF97 and ordinary weather).

    Raises ValueError for what is not a number and for a height outside -1,000 to 15,000 ft.
    """
    _number(boiling_reading_f)
    offset = thermometer_offset(boiling_reading_f, feet)
    lowest = LOWEST_BOILING_F if feet <= _RANGE_TOP_FEET else boiling_point_f(feet) - _margin()
    if not lowest <= boiling_reading_f <= HIGHEST_BOILING_F:
        return "impossible"
    if abs(offset) <= ACCURATE_WITHIN_F:
        return "accurate"
    return "off" if abs(offset) <= QUESTIONED_OVER_F else "questioned"


def _margin() -> float:
    return boiling_point_f(_RANGE_TOP_FEET) - LOWEST_BOILING_F


def offsets_to_allow_for(boiling_reading_f: float, feet: float) -> Interval | None:
    """Offsets, °F, that a thermometer may have which showed this in boiling water; None when it decides nothing.

    Within 2 °F both no offset and the one found are allowed for, because weather alone could have made it; from there to 5 °F the one
    found; a reading that is questioned or impossible gives None. Give the interval on to `true_interval`, which adds the uncertainty.

    Raises ValueError as `offset_class` does.
    """
    found, kind = thermometer_offset(boiling_reading_f, feet), offset_class(boiling_reading_f, feet)
    if kind == "accurate":
        return Interval(min(found, 0.0), max(found, 0.0))
    return Interval(found, found) if kind == "off" else None


def true_interval(
    reading_f: float, offset_f: float | Interval = 0.0, uncertainty_f: float = OFFSET_UNCERTAINTY_F
) -> Interval:
    """Between which temperatures, °F, the truth lies behind a reading.

    lo = reading - highest offset - uncertainty, to be held against a minimum; hi = reading - lowest offset + uncertainty, to be held
    against a maximum. So of two offsets that may both be right, the one counts that makes the food colder for safety and hotter for
    texture (worked out; USDA Complete Guide to Home Canning, Guide 6 (2015), asks for at least 180 °F all the time and warns of more
    than 185 °F).

    Raises ValueError for what is not a number, an uncertainty below 0 and offsets in the wrong order.
    """
    offsets = offset_f if isinstance(offset_f, Interval) else Interval(offset_f, offset_f)
    _number(reading_f, uncertainty_f, *offsets)
    if uncertainty_f < 0 or offsets.lo > offsets.hi:
        raise ValueError(f"offsets from {offsets.lo} to {offsets.hi} °F within {uncertainty_f} °F make no interval")
    return Interval(reading_f - offsets.hi - uncertainty_f, reading_f - offsets.lo + uncertainty_f)


def by_two_points(reading_f: float, ice_reading_f: float, boiling_reading_f: float, feet: float) -> float:
    """True temperature, °F, from a thermometer that was read in ice water and in boiling water at this height.

    T = 32 + (r - r_ice) * (T_boil - 32) / (r_boil - r_ice): a straight line through the two points (worked out). Better than one
    offset between them, since cheap thermometers are often off by more at one end. The weather stays in it, as in an offset.

    Raises ValueError for what is not a number, a height outside -1,000 to 15,000 ft, an ice reading not within 5 °F of 32 °F (0 is
    ice in °C) and a boiling reading that `offset_class` calls questioned or impossible.
    """
    _number(reading_f, ice_reading_f, boiling_reading_f)
    if abs(ice_reading_f - _ICE_F) > _ICE_WITHIN_F:
        raise ValueError(f"ice water cannot read {ice_reading_f:g} °F: is it °C, or did the ice not fill the glass?")
    if offsets_to_allow_for(boiling_reading_f, feet) is None:
        raise ValueError(
            f"boiling water cannot read {boiling_reading_f:g} °F at {feet:,.0f} ft: is it °C, or no full boil?"
        )
    span = boiling_point_f(feet) - _ICE_F
    return _ICE_F + (reading_f - ice_reading_f) * span / (boiling_reading_f - ice_reading_f)


def bath_reading_f(told: float, unit: Literal["F", "C"]) -> float:
    """A told reading of the water in a bath, °F. Asks back when it looks like the other unit.

    Up to 110 in °F and over 110 in °C are asked back: jars go into water of 120 to 140 °F (49 to 60 °C; USDA Complete Guide to Home
    Canning, Guide 6 (2015)) and no water on a stove passes 102 °C. So 82 and 100 are no °F, and 182 is no °C.

    Raises ValueError for those, for what is not a number, and for another unit.
    """
    _number(told)
    if unit not in ("F", "C"):
        raise ValueError(f"'{unit}' is no unit of a thermometer: F or C")
    if (told <= _BETWEEN_THE_UNITS) == (unit == "F"):
        raise ValueError(f"{told:g} °{unit} is no water in a bath: is it {told:g} °{'C' if unit == 'F' else 'F'}?")
    return told if unit == "F" else c_to_f(told)


def _number(*values: float) -> None:
    if bad := [value for value in values if not isfinite(value)]:
        raise ValueError(f"{bad[0]} is no temperature")
