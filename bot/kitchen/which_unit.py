"""Which unit may be meant when a name stands for several: pints, cups and spoons differ from country to country.

Sizes are those of `units.FACTORS`. Where the country is not known a quantity is a span over all readings, and what rests on it
takes the end with less acid or less salt.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import NamedTuple

from bot.kitchen.span import Span, checked, hull
from bot.kitchen.units import convert

COUNTRIES = ("US", "UK", "Canada", "Australia", "Japan")
_MOST = 100_000
_GAS_MARK = re.compile(r"(?:gas ?mark|mark|gas)? ?(?:s|1/4|1/2|¼|½|[1-9]|10)", re.IGNORECASE)

# name -> unit -> where it is meant (conversion tables). Dry pints and quarts measure only what is heaped, such as berries.
_MEANT: Mapping[str, Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "tsp": {"tsp": ("US",), "metric tsp": ("UK", "Canada", "Australia", "Japan")},
        "tbsp": {
            "tbsp": ("US",), "metric tbsp": ("UK", "Canada", "Japan"), "old UK tbsp": ("UK",), "Australian tbsp": ("Australia",),
        },
        "fl oz": {"fl oz": ("US",), "imperial fl oz": ("UK", "Canada", "Australia")},
        "gill": {"gill": ("US",), "imperial gill": ("UK",)},
        "cup": {
            "cup": ("US",), "label cup": ("US",), "metric cup": ("UK", "Canada", "Australia"), "imperial cup": ("UK",),
            "Japanese cup": ("Japan",),
        },
        "pint": {"pint": ("US",), "dry pint": ("US",), "imperial pint": ("UK", "Canada", "Australia")},
        "quart": {"quart": ("US",), "dry quart": ("US",), "imperial quart": ("UK", "Canada", "Australia")},
        "gallon": {"gallon": ("US",), "imperial gallon": ("UK", "Canada", "Australia")},
    }
)  # fmt: skip
NAMES = tuple(_MEANT)


class Reading(NamedTuple):
    """One thing a name may mean: the unit of `units.FACTORS`, the countries, the volume in mL."""

    unit: str
    countries: tuple[str, ...]
    millilitres: Fraction


def readings(amount: Fraction, name: str, country: str | None = None, heaped: bool = False) -> tuple[Reading, ...]:
    """Everything "2 pints" may mean, smallest first; only what is meant in the country, when it is known.

    `heaped` is for what is bought by the dry measure, as berries are: then a pint may be a dry one.

    Raises ValueError for a name not in `NAMES`, a country not in `COUNTRIES` or one that does not use that measure, and for an
    amount under 0 or above 100,000.
    """
    checked(Span(amount, amount), "an amount", 0, _MOST, "give how many")
    if name not in _MEANT:
        raise ValueError(f"'{name}' has no second reading: known are {', '.join(NAMES)}")
    if country is not None and country not in COUNTRIES:
        raise ValueError(f"'{country}' is not known: give one of {', '.join(COUNTRIES)}, or none")
    found = [
        Reading(unit, where, convert(amount, unit, "mL"))
        for unit, where in _MEANT[name].items()
        if (country is None or country in where) and (heaped or not unit.startswith("dry"))
    ]
    if not found:
        raise ValueError(f"a {name} is no measure of {country}: leave the country out, or ask for mL")
    return tuple(sorted(found, key=lambda each: each.millilitres))


def possible_ml(amount: Span, name: str, country: str | None = None, heaped: bool = False) -> Span:
    """Volume in mL from the smallest reading of the lower end to the largest of the upper. Errors as `readings`."""
    checked(amount, "an amount", 0, _MOST, "give how many")
    ends = [each.millilitres for end in amount for each in readings(end, name, country, heaped)]
    return hull(Span(end, end) for end in ends)


def differ_by(taken: str, meant: str) -> Fraction:
    """How much more one gets, in %, by taking one unit for another: 20.1 for an imperial pint in place of a US one.

    100 * (taken / meant - 1), negative when it is less. Raises ValueError when the units are unknown or of two kinds.
    """
    return 100 * (convert(Fraction(1), taken, meant) - 1)


def reading_words(choices: tuple[Reading, ...]) -> str:
    """The readings in one line for asking back: "pint (473 mL) or imperial pint (568 mL)". Raises ValueError for none."""
    if not choices:
        raise ValueError("there is nothing to choose from: give at least one reading")
    return " or ".join(f"{each.unit} ({round(each.millilitres)} mL)" for each in choices)


def gas_mark_words(told: str) -> str:
    """Why a gas mark is not turned into degrees, in one sentence for the person; no number comes out, whatever the mark.

    A mark is a setting for the air of an oven, and differs from maker to maker. No canning process and no setting point is published
    in such marks, and processing in an oven is not safe (USDA Complete Guide to Home Canning, Guide 1 (2015), Oven canning).

    `told` is the mark as it was said: "gas mark 4", "mark 1/2", "S". Raises ValueError for what is not a gas mark.
    """
    if not _GAS_MARK.fullmatch(told.strip()):
        raise ValueError(
            f"'{told}' is not a gas mark: marks are S, 1/4, 1/2 and 1 to 10; degrees need their scale, °F or °C"
        )
    return (
        f"Gas mark {_mark(told)} sets the air in an oven, and no step here goes by that:"
        " please give what a thermometer in the pot or in the water shows, in °F or °C."
    )


def _mark(told: str) -> str:
    return re.sub(r"(?i)gas|mark", "", told).strip().upper()
