"""Readings of one thermometer, weights and minutes that a message tells of a pot, each as the kitchen arithmetic wants it."""

from __future__ import annotations

from typing import NamedTuple

from bot.engine.figures import Ask
from bot.engine.figures.said import concept, gap
from bot.engine.quantities import DURATIONS, Quantity, resolve_temperature
from bot.kitchen.ranges import Range
from bot.kitchen.units import c_to_f

LIKELY_F, LIKELY_C = (180.0, 260.0), (82.0, 127.0)  # between which a bare number beside a pot is a temperature
SAME = 0.01  # °F
BEHIND = 3  # characters between "boiling water" and its reading
NAMES_IT = 12  # characters between a number of minutes and "ago", "later"
_MINUTES = {"minutes": 1.0, "hours": 60.0, "days": 1440.0}


class Readings(NamedTuple):
    """In °F, in the order of the message. `water`: in plain boiling water, from the message or remembered with the kitchen."""

    of_the_pot: tuple[float, ...]
    water: float | None


def readings_told(ask: Ask) -> Readings:
    """Temperatures of a message; which of them is that of boiling water, its words tell."""
    seen = [(quantity, each) for quantity in ask.quantities if (each := _fahrenheit(quantity)) is not None]
    water = _of_boiling_water(ask, seen)
    if water is not None:
        return Readings(tuple(each for _, each in seen if abs(each - water) >= SAME), water)
    belief = ask.facts.belief("boiling-water-reading")
    known = belief is not None and belief.certain and belief.lo == belief.hi
    return Readings(tuple(each for _, each in seen), belief.lo if belief is not None and known else None)


def _of_boiling_water(ask: Ask, seen: list[tuple[Quantity, float]]) -> float | None:
    """What this message tells of it: as it was heard, or right behind the words ("boiling water 212")."""
    told = [
        o.lo
        for o in ask.reading.observations
        if o.evidence == "boiling-water-reading" and o.lo is not None and o.lo == o.hi
    ]
    words = concept(ask.knowledge, "boiling-water", ask.plain)
    behind = [each for quantity, each in seen if any(0 <= quantity.start - place.end <= BEHIND for place in words)]
    return next(iter([*told[-1:], *behind]), None)


def minutes_between(ask: Ask) -> Range | None:
    """The time between two looks at the pot: the one that stands by "ago", "later", "in", or the only one there is."""
    times = [each for each in ask.quantities if each.kind in DURATIONS]
    words = concept(ask.knowledge, "between-two-looks", ask.plain)
    by_words = [each for each in times if any(gap(place, each) <= NAMES_IT for place in words)]
    chosen = by_words or times
    return _minutes(chosen[0]) if len(chosen) == 1 or by_words else None


def minutes_boiled(ask: Ask) -> Range | None:
    """How long the pot has been at the boil already."""
    belief = ask.facts.belief("boiling-minutes")
    if belief is None or not belief.certain or belief.lo is None or belief.hi is None:
        return None
    return Range(belief.lo, belief.hi, "min")


def _minutes(told: Quantity) -> Range:
    return Range(float(told.lo) * _MINUTES[told.kind], float(told.hi) * _MINUTES[told.kind], "min")


def _fahrenheit(told: Quantity) -> float | None:
    if told.lo != told.hi:
        return None
    value = float(told.lo)
    if told.kind == "temperature":
        return value
    if told.kind not in ("temperature-unknown", "bare"):
        return None
    scale = resolve_temperature(value)
    low, high = LIKELY_C if scale == "C" else LIKELY_F
    if scale is None or (told.kind == "bare" and not low <= value <= high):
        return None
    return c_to_f(value) if scale == "C" else value
