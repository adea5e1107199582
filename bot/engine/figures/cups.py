"""What a cup of something weighs and how much of it a weight fills; and the two kinds of ounces."""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from math import ceil, floor

from bot.engine.figures import NOT_ASKED, Ask, Figure
from bot.engine.figures.amounts import below_nothing
from bot.engine.figures.both_systems import counted, label, significant
from bot.engine.figures.measures import Unit, of_a_jug, source_and_target, units_named
from bot.engine.figures.pantry import by_the_cup
from bot.engine.figures.story import tells_of_jars
from bot.kitchen.cup_weights import CupWeight, grams_in, ounces, volume_of
from bot.kitchen.span import Span, exactly, hull
from bot.kitchen.units import convert

_WEIGH = re.compile(r"\b(?:weigh|weighs|weight|heavy)\b")
_HEAPED = {"pint": "dry pint", "quart": "dry quart"}  # berries are sold by the dry measure
_MOST = 10_000


def weight_of_a_cup(ask: Ask) -> Figure:
    """Weight of a volume of some food, or the volume of a weight, as wide as packing and cut may make it."""
    pair = source_and_target(ask)
    if pair is None or tells_of_jars(ask, weighs_food=True) or ask.says("salt-any"):
        return NOT_ASKED
    source, target = pair
    wanted = target.kind if target else "mass" if _WEIGH.search(ask.plain) else ""
    food = by_the_cup(ask)
    if {source.kind, wanted} != {"mass", "volume"} or (food is None and of_a_jug(source, target)):
        return NOT_ASKED
    if food is None:
        return NOT_ASKED if ask.facts.foods() else Figure(missing="food", of_this_kitchen=False)
    amount = Fraction(1) if source.number is None else source.number
    if below_nothing(ask.last) or not 0 < amount <= _MOST:
        return Figure("no-such-amount", of_this_kitchen=False)
    if not food.rows:
        return Figure("not-in-the-table", {"food": food.called}, of_this_kitchen=False)
    unit = target.name if target else "cup"
    values = {
        "amount": counted(amount, source.name),
        "food": food.called,
        "cut": " or ".join(dict.fromkeys(each.cut for each in food.rows)),
        "result": _weight(amount, source, food.rows) if wanted == "mass" else _volume(amount, source, unit, food.rows),
    }
    exact = len(food.rows) == 1 and food.rows[0].grams.lo == food.rows[0].grams.hi
    return Figure("known" if exact else "between", values, of_this_kitchen=False)


def _weight(amount: Fraction, source: Unit, rows: tuple[CupWeight, ...]) -> str:
    """Grams, ends outward, and ounces."""
    units = [source.name, *([_HEAPED[source.name]] if source.name in _HEAPED else [])]
    grams = hull(grams_in(exactly(amount), unit, rows) for unit in units)
    told = (
        [significant(grams.lo, 3 if grams.lo >= 100 else 2)]
        if grams.lo == grams.hi
        else [f"{floor(grams.lo):,}", f"{ceil(grams.hi):,}"]
    )
    return f"{_to(told)} g ({_to(significant(convert(end, 'g', 'oz'), 2) for end in grams)} oz)"


def _volume(amount: Fraction, source: Unit, unit: str, rows: tuple[CupWeight, ...]) -> str:
    """Cups or whatever is asked for, and mL beside what is not metric."""
    span = volume_of(exactly(convert(amount, source.name, "g")), unit, rows)
    told = f"{_to(significant(end, 2) for end in span)} {label(unit, span.hi)}"
    return (
        told if unit in ("mL", "L") else f"{told} ({_to(significant(convert(end, unit, 'mL'), 2) for end in span)} mL)"
    )


def _to(figures: Iterable[str]) -> str:
    return " to ".join(dict.fromkeys(figures))


def two_ounces(ask: Ask) -> Figure:
    """Ounces of weight and of volume, for the amount and the food that are told."""
    if tells_of_jars(ask, weighs_food=True):
        return NOT_ASKED
    told = {each.number for each in units_named(ask.last) if each.name in ("oz", "fl oz") and each.number is not None}
    amount = told.pop() if len(told) == 1 else Fraction(1)
    if below_nothing(ask.last) or not 0 < amount <= _MOST:
        return Figure("no-such-amount", of_this_kitchen=False)
    food = by_the_cup(ask)
    values = {
        "number": significant(amount, 4),
        "grams": significant(convert(amount, "oz", "g")),
        "us": significant(convert(amount, "fl oz", "mL")),
        "uk": significant(convert(amount, "imperial fl oz", "mL")),
    }
    if food is None or not food.rows:
        return Figure("plain", values, of_this_kitchen=False)
    by_measure: Span = ounces(amount, food.rows).by_measure
    more = {"food": food.called, "by_measure": f"{_to(significant(end) for end in by_measure)} g"}
    return Figure("of-a-food", {**values, **more}, of_this_kitchen=False)
