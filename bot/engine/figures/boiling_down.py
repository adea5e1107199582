"""How much water a pot has still to lose and how many minutes that takes, and how concentrated it is at a reading."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import cast

from bot.engine.figures import Ask, Figure
from bot.engine.figures.ingredients import MOST_G, Pot, lacking, pot_of
from bot.engine.figures.jars_told import jar_told
from bot.engine.figures.readings import Readings, minutes_between, minutes_boiled, readings_told
from bot.engine.figures.said import concept, gap
from bot.engine.figures.shown import volume, weight
from bot.engine.gel import HIGHEST_BOIL, LOWEST_BOIL
from bot.kitchen.boil_off import (
    TARGET_PERCENT,
    Evaporation,
    PastTarget,
    minutes_from_readings,
    minutes_left,
    rate_from_heat,
    rate_from_weighings,
    rate_from_width,
    slower,
    water_left_by_solids,
    water_left_by_weight,
    water_to_boil_off,
)
from bot.kitchen.boiling_rise import FAR_FROM_SET_F, NO_READING_F, OVERCOOKED_F, solids_from_reading
from bot.kitchen.ranges import Range
from bot.kitchen.soluble_solids import batch_grams
from bot.kitchen.units import show_temperature

NARROWEST_CM, WIDEST_CM = 10.0, 60.0  # across the top of a pot that jam is boiled in
LEAST_RISE_F, TOLD_APART_F = 2.0, 1.0  # below which two readings say nothing
NEXT_TO = 18  # characters between a width and "pot", "wide", "across"
GRAMS_PER_ML = 1.2  # of fruit and sugar at the boil, near enough to tell a deep pot from a wide one
CM_PER_IN = 2.54
CLEAR_FIT = 2  # weight of phrases from which somebody tells of a trouble
_POWER = re.compile(r"(\d+(?:[.,]\d+)?) ?(kw|kilowatts?|w|watts?)\b")
_BARE_ANSWER = re.compile(r"[.!?\n]\s*\d+(?:[.,/]\d+)?\s*$")


def minutes_to_go(ask: Ask) -> Figure:
    """From two readings or two weights some minutes apart, or from what went in and the width of the pot; never one number."""
    pot, seen = pot_of(ask), readings_told(ask)
    if _is_a_story(ask, bool(pot.parts or pot.nameless or seen.of_the_pot)):
        return Figure(declines=True)
    if ask.facts.known("pectin") and "none" not in ask.facts.possible("pectin"):
        return Figure("packet")
    if len(seen.of_the_pot) > 1:
        return _by_readings(seen, minutes_between(ask), ask)
    return lacking(pot, ask) or _by_amounts(pot, seen, ask)


def solids(ask: Ask) -> Figure:
    """Soluble solids at a reading of the person's own thermometer, against what it shows in boiling water."""
    seen = readings_told(ask)
    if not seen.of_the_pot:
        return Figure(missing="thermometer-reading")
    if seen.water is None:
        return Figure(missing="boiling-water-reading")
    reading = seen.of_the_pot[-1]
    values = {"reading": show_temperature(reading, ask.metric), "water": show_temperature(seen.water, ask.metric)}
    odd = _odd_reading(reading, seen.water)
    if odd:
        return Figure(odd, values)
    if reading - seen.water < FAR_FROM_SET_F:
        return Figure("too-early", values)
    found = solids_from_reading(reading, seen.water)
    values["solids"] = found.text
    return Figure("below" if found.hi < TARGET_PERCENT else "past" if found.lo >= TARGET_PERCENT else "there", values)


def _is_a_story(ask: Ask, told: bool) -> bool:
    """Jars are spoken of and no pot; or a trouble is told, and nothing to reckon with, or nothing is asked about minutes."""
    asks = bool(concept(ask.knowledge, "asks-for-minutes", ask.plain))
    if not told:
        return not asks or _of_trouble(ask) or jar_told(ask) is not None  # of jars: minutes in the bath
    return _of_trouble(ask) and not asks


def _of_trouble(ask: Ask) -> bool:
    return max(ask.reading.problems.values(), default=0) >= CLEAR_FIT


# -- two looks at the pot -------------------------------------------------------------------------------------------
def _by_readings(seen: Readings, between: Range | None, ask: Ask) -> Figure:
    first, later = min(seen.of_the_pot), max(seen.of_the_pot)
    if later - first <= TOLD_APART_F:
        return Figure("alike")
    if seen.water is None:
        return Figure(missing="boiling-water-reading")
    values = {"reading": show_temperature(later, ask.metric), "water": show_temperature(seen.water, ask.metric)}
    odd = _odd_reading(later, seen.water) or _odd_reading(first, seen.water)
    if odd:
        return Figure(odd, values)
    if first - seen.water < LEAST_RISE_F:
        return Figure("too-early", values)
    if between is None:
        return Figure(missing="minutes-between")
    if between.lo < 1.0:
        return Figure("alike", values)
    try:
        return _minutes(minutes_from_readings(first, later, seen.water, between, _evaporation(ask)), values)
    except PastTarget:
        return Figure("past", values)


def _odd_reading(reading: float, water: float) -> str:
    if not LOWEST_BOIL <= water <= HIGHEST_BOIL:
        return "no-boiling-water"
    if not 0.0 <= reading - water <= NO_READING_F:
        return "no-reading"
    return "overcooked" if reading - water > OVERCOOKED_F else ""


# -- what went in ---------------------------------------------------------------------------------------------------
def _by_amounts(pot: Pot, seen: Readings, ask: Ask) -> Figure:
    if batch_grams(pot.parts).hi > MOST_G:
        return Figure("too-much")
    weights = [float(each.lo) for each in pot.nameless if each.kind == "weight"]
    if concept(ask.knowledge, "weighed", ask.plain) and weights and min(weights) > batch_grams(pot.parts).hi:
        return Figure("pot-in-the-weight", {"batch": weight(batch_grams(pot.parts).hi, ask.metric)})
    try:
        water, looked = _water(pot, seen, weights, ask)
    except PastTarget:
        return Figure("past")
    except ValueError:
        return Figure("weigh-again")
    values = {"loses": volume(Range(water.lo, water.hi, "mL"), ask.metric)}
    between = minutes_between(ask)
    if len(weights) > 1 and between is not None:
        if max(weights) - min(weights) < 1.0 or between.lo < 1.0:
            return Figure("alike")
        first, later = (Range(each, each, "g") for each in (max(weights), min(weights)))
        return _minutes(minutes_left(water, rate_from_weighings(first, later, between, _evaporation(ask))), values)
    return _by_width(pot, water, looked, values, ask)


def _water(pot: Pot, seen: Readings, weights: list[float], ask: Ask) -> tuple[Range, bool]:
    """Water still to lose, and whether it was seen in the pot now (by weight or by reading) rather than told from what went in."""
    if weights and concept(ask.knowledge, "weighed", ask.plain):
        return water_left_by_weight(pot.parts, Range(min(weights), min(weights), "g")), True
    reading, boiling = seen.of_the_pot[-1] if seen.of_the_pot else 0.0, seen.water or 0.0
    if _odd_reading(reading, boiling) or reading - boiling < FAR_FROM_SET_F:
        return water_to_boil_off(pot.parts), False
    return water_left_by_solids(pot.parts, solids_from_reading(reading, boiling)), True


def _by_width(pot: Pot, water: Range, looked: bool, values: Mapping[str, str], ask: Ask) -> Figure:
    width = _width_cm(ask)
    if width is None:
        return Figure(missing="width-unit" if _BARE_ANSWER.search(ask.plain) else "pot-width")
    if not NARROWEST_CM <= width.lo <= width.hi <= WIDEST_CM:
        return Figure("odd-width")
    depth = batch_grams(pot.parts).hi / GRAMS_PER_ML / (width.lo**2 * 0.785)
    if depth > width.lo / 2:
        return Figure("too-deep", values)
    rate = rate_from_width(width, _evaporation(ask))
    power = _power(ask)
    left = minutes_left(water, slower(rate, power) if power is not None else rate)
    boiled = minutes_boiled(ask)
    if boiled is not None and not looked:
        left = Range(max(left.lo - boiled.hi, 0.0), max(left.hi - boiled.lo, 0.0), "min")
        if left.hi <= 0:
            return Figure("over-time", values)
    return _minutes(left, values)


def _width_cm(ask: Ask) -> Range | None:
    lengths = [each for each in ask.quantities if each.kind == "length"]
    words = concept(ask.knowledge, "pot-word", ask.plain) + concept(ask.knowledge, "wide-word", ask.plain)
    by_words = [each for each in lengths if any(gap(place, each) <= NEXT_TO for place in words)]
    chosen = by_words[-1] if by_words else lengths[-1] if lengths else None
    if chosen is None:
        return None
    return Range(float(chosen.lo) * CM_PER_IN, float(chosen.hi) * CM_PER_IN, "cm")


def _power(ask: Ask) -> Range | None:
    """The most that the burner can boil off, where its power is told; of any kind of stove where that is not."""
    told = _POWER.search(ask.plain)
    if told is None:
        return None
    kilowatts = float(told.group(1).replace(",", ".")) / (1.0 if told.group(2).startswith("k") else 1000.0)
    stoves = cast("Mapping[str, Range]", ask.knowledge.tables["stoves"])
    named = [each for id_, each in stoves.items() if concept(ask.knowledge, f"stove-{id_}", ask.plain)] or list(
        stoves.values()
    )
    share = Range(min(each.lo for each in named), max(each.hi for each in named), "%")
    return rate_from_heat(Range(kilowatts, kilowatts, "kW"), share) if 0.3 <= kilowatts <= 15 else None


# -- told -----------------------------------------------------------------------------------------------------------
def _minutes(left: Range, values: Mapping[str, str]) -> Figure:
    """The range, and from when on to test: at once when the short end is gone already."""
    told = {**values, "minutes": f"{left.lo:g} to {left.hi:g}", "first": f"{left.lo:g}", "most": f"{left.hi:g}"}
    return Figure("minutes" if left.lo >= 1 else "test-now", told)


def _evaporation(ask: Ask) -> Evaporation:
    return cast("Evaporation", ask.knowledge.tables["evaporation"])
