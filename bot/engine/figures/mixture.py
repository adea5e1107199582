"""What goes into a brine of acid and water: the amounts that are told, as the brine and the pack that the kitchen reckons with."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from bot.engine.figures import Ask
from bot.engine.figures.amounts import PART, Amount, find_amounts, has_any, in_parts
from bot.kitchen.acidity import Brine, Pack, water_share
from bot.kitchen.cup_weights import grams_in
from bot.kitchen.span import NOTHING, Span, exactly
from bot.kitchen.units import FACTORS, convert
from bot.kitchen.which_unit import NAMES, readings

ACID, WATER = "acid", "water"
_DISSOLVES = "pantry-"  # concepts of what dissolves begin so, and go on with the id of its row
# country, and whether the smaller or the larger cup of it is in the cupboard
_KITCHENS = tuple((country, which) for country in ("US", "UK", "Canada", "Australia") for which in (0, 1))
_MOST_ML, _MOST_G = 500_000, 500_000  # more than any kitchen holds


class Poured(NamedTuple):
    """What went together, as amounts: the acid, the water, what dissolves in it (by id), and what is packed."""

    acid: Amount
    water: Amount
    dissolved: tuple[tuple[str, Amount], ...]
    packed: tuple[Amount, ...]

    @property
    def sensible(self) -> bool:
        """Whether there is some acid and not more of anything than a kitchen holds."""
        amounts = [self.acid, self.water, *(amount for _, amount in self.dissolved), *self.packed]
        volumes = [convert(each.figure.hi, each.unit, "mL") for each in amounts if each.unit in FACTORS["volume"]]
        weights = [each.grams.hi for each in amounts if each.unit in FACTORS["mass"]]
        return self.acid.figure.lo > 0 and max(volumes, default=0) < _MOST_ML and max(weights, default=0) < _MOST_G


class Mixed(NamedTuple):
    """The same by the measures of one kitchen: brine, pack, and mL of room that what dissolves takes."""

    brine: Brine
    pack: Pack
    room: Span


def told_twice(ask: Ask) -> bool:
    """Whether two mixtures are told in one message, so that nobody knows which amounts belong together."""
    concepts = ask.knowledge.concepts
    thin = {ACID: concepts["poured-acid"], WATER: concepts["poured-water"]}
    found = find_amounts(ask.last, thin, poured=thin)
    return set(found.of) == set(thin) and any(len(each) > 1 for each in found.of.values())


def poured(ask: Ask) -> Poured | None:
    """What goes together, of this message and those it goes on from; None unless acid and water are each told once."""
    concepts = ask.knowledge.concepts
    thin = {ACID: concepts["poured-acid"], WATER: concepts["poured-water"]}
    dissolves = {id_: concepts[_DISSOLVES + id_] for id_ in ask.tables.dissolved_ml_per_g}
    told: dict[str, Amount] = {}
    dissolved: tuple[tuple[str, Amount], ...] = ()
    packed: tuple[Amount, ...] = ()
    for plain in (*ask.earlier, ask.last):
        found = find_amounts(plain, {**thin, **dissolves}, poured=thin)
        if any(len(found.of.get(each, ())) > 1 for each in thin):
            return None
        told |= {each: found.of[each][0] for each in thin if each in found.of} or in_parts(plain, thin)
        dissolved = tuple((each, amount) for each in dissolves for amount in found.of.get(each, ())) or dissolved
        food = ask.facts.foods() or has_any(plain, concepts["packed-food"])
        packed = tuple(each for each in found.others if food and each.unit in FACTORS["mass"]) or packed
    if not told.keys() >= thin.keys() or (told[ACID].unit == PART) != (told[WATER].unit == PART):
        return None
    return Poured(told[ACID], told[WATER], dissolved, packed)


def by_country(ask: Ask, told: Poured, strength: Span) -> Iterator[Mixed]:
    """What is told, by the measures of each country.

    One cup measures acid and water: halves are halves everywhere, and only litres beside cups leave a range.
    """
    water = water_share(ask.facts.foods() or {""}, ask.tables.water_in_food)
    grams = [each.grams for each in told.packed]
    whole = Span(sum((g.lo for g in grams), Fraction(0)), sum((g.hi for g in grams), Fraction(0)))
    pack = Pack(whole, water, ask.tables.grams_per_ml)
    for kitchen in _KITCHENS:
        acid, thin = (_millilitres(each, kitchen) for each in (told.acid, told.water))
        room = sum((_room(ask, id_, amount, kitchen) for id_, amount in told.dissolved), Fraction(0))
        yield Mixed(Brine(acid, strength, thin), pack, Span(NOTHING.lo, room))


def _millilitres(amount: Amount, kitchen: tuple[str, int]) -> Span:
    """Of a liquid, by the measures of a kitchen.

    A part stands for 100 mL: only how parts stand to one another is asked. Ounces of a liquid are fluid ounces, a gram is a mL.
    """
    unit, (country, which) = "fl oz" if amount.unit == "oz" else amount.unit, kitchen
    if unit == PART:
        size = Fraction(100)
    elif unit in NAMES:
        meant = readings(Fraction(1), unit, country)
        size = meant[min(which, len(meant) - 1)].millilitres
    else:
        size = convert(Fraction(1), unit, "mL" if unit in FACTORS["volume"] else "g")
    return amount.figure.times(exactly(size))


def _room(ask: Ask, id_: str, amount: Amount, kitchen: tuple[str, int]) -> Fraction:
    """The most that something takes once it is dissolved, mL."""
    per_gram = ask.tables.dissolved_ml_per_g[id_]
    if amount.unit in FACTORS["mass"]:
        return amount.grams.hi * per_gram
    weights = [each for each in ask.tables.cup_weights if each.food == id_]
    return grams_in(_millilitres(amount, kitchen), "mL", weights).hi * per_gram
