"""Where water boils at a height above the sea, the gel point there, and what a thermometer in boiling water says of itself.

Temperatures are °F, heights feet, pressures pascals. Every function takes heights from -1,000 to 15,000 ft: no kitchen lies
outside, so a height beyond is a slip (metres taken for feet, a digit too many) and is refused rather than computed.
"""

from __future__ import annotations

from math import sqrt

LOWEST_FEET, HIGHEST_FEET = -1_000.0, 15_000.0
GEL_RISE_F = 8.0

_METRES_PER_FOOT = 0.3048
# Coefficients n1 to n10 of IAPWS-IF97, region 4; the table with their use stands at `saturation_temperature_c`.
# fmt: off
_N1, _N2, _N3 = 0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2
_N4, _N5, _N6 = 0.12020824702470e5, -0.32325550322333e7, 0.14915108613530e2
_N7, _N8, _N9, _N10 = -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3
# fmt: on
_LOWEST_PA, _HIGHEST_PA = 611.213, 22.064e6


def pressure_at(feet: float) -> float:
    """Air pressure of the standard atmosphere at a height, Pa: 101,325 at sea level, about 57,200 at 15,000 ft.

    p = 101325 * (1 - 2.25577e-5 * h) ** 5.25588 with h in metres (US Standard Atmosphere 1976, below 11 km). Weather moves the
    true pressure by about 3 % either way.

    Raises ValueError for a height outside -1,000 to 15,000 ft.
    """
    if not LOWEST_FEET <= feet <= HIGHEST_FEET:  # also refuses what is not a number
        raise ValueError(
            f"{feet:,.0f} ft is no height of a kitchen: from {LOWEST_FEET:,.0f} to {HIGHEST_FEET:,.0f} ft can be worked out."
            " Was it given in another unit, or with a digit too many?"
        )
    result: float = 101_325.0 * (1.0 - 2.25577e-5 * feet * _METRES_PER_FOOT) ** 5.25588
    return result


def saturation_temperature_c(pascals: float) -> float:
    """Temperature at which water boils under a pressure, °C. Range 611.213 Pa to 22.064 MPa.

    Backward equation of region 4 of IAPWS-IF97 (International Association for the Properties of Water and Steam, Industrial
    Formulation 1997, equation 31). With p in MPa, T in K and b = p ** (1/4):

        E = b² + n3 b + n6        F = n1 b² + n4 b + n7        G = n2 b² + n5 b + n8
        D = 2 G / (-F - sqrt(F² - 4 E G))
        T = (n10 + D - sqrt((n10 + D)² - 4 (n9 + n10 D))) / 2

        n1   0.11670521452767e4     n6    0.14915108613530e2
        n2  -0.72421316703206e6     n7   -0.48232657361591e4
        n3  -0.17073846940092e2     n8    0.40511340542057e6
        n4   0.12020824702470e5     n9   -0.23855557567849
        n5  -0.32325550322333e7     n10   0.65017534844798e3

    Over the pressures of kitchens it is within 0.0003 °C of the scientific formulation, IAPWS-95. At one standard atmosphere it
    gives 99.974 °C, not 100: the round figure is a convention of the older scale.

    Raises ValueError for a pressure outside the range.
    """
    if not _LOWEST_PA <= pascals <= _HIGHEST_PA:
        raise ValueError(f"water does not boil at {pascals:,.0f} Pa: the equation holds from 611.213 Pa to 22.064 MPa")
    b: float = (pascals / 1e6) ** 0.25
    e = b * b + _N3 * b + _N6
    f = _N1 * b * b + _N4 * b + _N7
    g = _N2 * b * b + _N5 * b + _N8
    d = 2.0 * g / (-f - sqrt(f * f - 4.0 * e * g))
    return (_N10 + d - sqrt((_N10 + d) ** 2 - 4.0 * (_N9 + _N10 * d))) / 2.0 - 273.15


def boiling_point_f(feet: float) -> float:
    """Boiling point of water at a height in average weather, °F: 211.95 at sea level, 193.66 at 10,000 ft.

    `pressure_at` put into `saturation_temperature_c`. Ordinary weather moves it by up to 1.4 °F either way.

    Raises ValueError for a height outside -1,000 to 15,000 ft.
    """
    return saturation_temperature_c(pressure_at(feet)) * 1.8 + 32.0


def gel_point_f(feet: float) -> float:
    """Gel point at a height, °F: 8 °F (4.4 °C) above the boiling point of water there.

    USDA Home and Garden Bulletin 56; So Easy to Preserve, University of Georgia. Other publications print 7 and 9 °F. A person's
    own reading in boiling water is the better start: see `gel_target_on_thermometer`.

    Raises ValueError for a height outside -1,000 to 15,000 ft.
    """
    return boiling_point_f(feet) + GEL_RISE_F


def thermometer_offset(reading_f: float, feet: float) -> float:
    """How much too high a thermometer reads, °F, from its reading in boiling water; negative when it reads low.

    Offset = reading - boiling point at that height, so the true temperature is a later reading less the offset. Good to about
    2 °F, because weather and the reading itself are in it: an offset within 2 °F cannot be told from none.

    Raises ValueError for a height outside -1,000 to 15,000 ft.
    """
    return reading_f - boiling_point_f(feet)


def gel_target_on_thermometer(boiling_reading_f: float) -> float:
    """What a thermometer shows at the gel point, °F, given what it shows in boiling water on the same day and place.

    Reading + 8 °F: height, weather and the error of the thermometer all cancel (USDA Home and Garden Bulletin 56; Michigan State
    University Extension, Preserving Food Safely, 1997). Any reading is taken as it is.
    """
    return boiling_reading_f + GEL_RISE_F
