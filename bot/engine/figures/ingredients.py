"""What a message says went into the pot: amounts with their names, as weights and soluble solids, each from one end to the other."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from bot.engine.figures import Ask, Figure
from bot.engine.figures.named_amounts import ANY, Pair, amounts_told, is_food, pairs_of, table
from bot.engine.figures.said import concept
from bot.engine.measures import ABOUT, units_of
from bot.engine.quantities import Quantity
from bot.kitchen.ranges import Range
from bot.kitchen.soluble_solids import ALWAYS, FoodSolids, Part, food_solids, grams_of_cups, grams_prepared
from bot.kitchen.span import Span, hull
from bot.kitchen.units import convert
from bot.kitchen.which_unit import NAMES, possible_ml

MOSTLY_SOLID = 50.0  # %: what holds more than this is there to sweeten
LEAST_G = 50.0  # of what the jam is made of: less is a slip of the keys
MOST_G = 25_000.0  # more than the largest kitchen pot holds
AFTER = 24  # characters behind a name in which it is said how it was cut


class Pot(NamedTuple):
    """What is in the pot. `unknown`: foods that the table does not have; `unweighed`: one of which nobody has weighed a cup."""

    food: tuple[Part, ...] = ()
    sweet: tuple[Part, ...] = ()
    rest: tuple[Part, ...] = ()
    unknown: tuple[str, ...] = ()
    unweighed: str = ""
    finished: Range | None = None  # g of a batch that is cooked already
    taken: tuple[tuple[int, int], ...] = ()  # where the amounts stand that have a name
    nameless: tuple[Quantity, ...] = ()  # amounts of nobody knows what

    @property
    def parts(self) -> tuple[Part, ...]:
        return self.food + self.sweet + self.rest


def pot_of(ask: Ask) -> Pot:
    """What the amounts of a message put into the pot."""
    pairs = pairs_of(ask)
    named = {pair.amount for pair in pairs}
    taken = tuple((pair.amount.start, pair.name.end) for pair in pairs)
    pot = Pot(taken=taken, nameless=tuple(each for each in amounts_told(ask) if each not in named))
    done = _finished(ask, pairs, pot.nameless)
    if done is not None:
        return pot._replace(finished=_spread(done, "g"), nameless=())
    for pair in pairs:
        pot = _with(ask, pot, pair)
    return pot


def lacking(pot: Pot, ask: Ask) -> Figure | None:
    """What has to be asked, or asked back, before anything is worked out from amounts; None when nothing has."""
    if pot.unknown or pot.unweighed:
        name = pot.unweighed or pot.unknown[0]
        food = ask.knowledge.foods.get(name)
        return Figure(
            "unweighed" if pot.unweighed else "unknown-food", {"food": food.name if food is not None else "it"}
        )
    if not pot.food:
        return Figure(missing="amount-of-food" if pot.sweet else "of-what" if pot.nameless else "amounts")
    if sum(part.grams.hi for part in pot.food) < LEAST_G:
        return Figure("too-little")
    if pot.sweet and sum(part.grams.hi for part in pot.sweet) < 1:
        return Figure("unsweetened")
    if not pot.sweet:
        without = concept(ask.knowledge, "unsweetened", ask.plain)
        return Figure("unsweetened") if without else Figure(missing="amount-of-sweet")
    return None


# -- weights and solids -------------------------------------------------------------------------------------------
def _finished(ask: Ask, pairs: list[Pair], nameless: tuple[Quantity, ...]) -> Quantity | None:
    """The weight of what is cooked already: "2 kg of plum jam", "2 kg of finished jam"."""
    amount = pairs[0].amount if pairs else nameless[0] if nameless else None
    if amount is None or len(pairs) > 1 or amount.kind != "weight":
        return None
    ends = [pairs[0].name.end if pairs else amount.end, amount.end + len(" of")]
    cooked = concept(ask.knowledge, "cooked-already", ask.plain)
    return amount if any(place.start <= end + 1 <= place.end for place in cooked for end in ends) else None


def _with(ask: Ask, pot: Pot, pair: Pair) -> Pot:
    food = _solids_of(ask, pair.name.name)
    if food is None:
        return pot._replace(unknown=(*pot.unknown, pair.name.name))
    try:
        part = Part(_grams(ask, pair, food), food_solids(food, _told(ask, "fruit-ripeness") & frozenset(food.percent)))
    except ValueError:  # nobody has weighed a cup of it
        return pot._replace(unweighed=pair.name.name)
    if is_food(ask, pair.name.name):
        return pot._replace(food=(*pot.food, part))
    return (
        pot._replace(sweet=(*pot.sweet, part))
        if part.solids.lo > MOSTLY_SOLID
        else pot._replace(rest=(*pot.rest, part))
    )


def _solids_of(ask: Ask, name: str) -> FoodSolids | None:
    if name != ANY:
        return table(ask).get(name)
    heard = [food for food in ask.facts.foods() if food in table(ask)]
    if len(heard) == 1:
        return table(ask)[heard[0]]
    every = [food for id_, food in table(ask).items() if is_food(ask, id_)]
    cups: dict[str, list[Range]] = {}
    for cut, grams in ((cut, grams) for food in every for cut, grams in food.grams_per_cup.items()):
        cups.setdefault(cut, []).append(grams)
    percent = {ALWAYS: _hull([each for food in every for each in food.percent.values()])}
    return FoodSolids(ANY, percent, {cut: _hull(grams) for cut, grams in cups.items()}, None)


def _hull(ends: list[Range]) -> Range:
    return Range(min(each.lo for each in ends), max(each.hi for each in ends), ends[0].unit)


def _grams(ask: Ask, pair: Pair, food: FoodSolids) -> Range:
    around = ask.plain[pair.amount.start : pair.name.end + AFTER]
    if pair.amount.kind == "volume":
        return grams_of_cups(food, _cups(ask, pair.amount, is_food(ask, pair.name.name)), _cuts(ask, around, food))
    whole = _spread(pair.amount, "g")
    if food.lost_percent is None or concept(ask.knowledge, "prepared-word", around) or _cuts_said(ask, around):
        return whole
    return Range(grams_prepared(food, whole).lo, whole.hi, "g")


def _spread(amount: Quantity, unit: str) -> Range:
    lo, hi = float(amount.lo), float(amount.hi)
    return Range(lo * (1 - ABOUT), hi * (1 + ABOUT), unit) if amount.approx and lo == hi else Range(lo, hi, unit)


def _cups(ask: Ask, amount: Quantity, heaped: bool) -> Range:
    """US cups of what was told, over all that its unit may mean to somebody who counts in those units."""
    lo, hi = _spread(amount, "mL")[:2]
    if amount.unit in NAMES:
        one = convert(Fraction(1), amount.unit, "mL")
        told = Span(Fraction(lo) / one, Fraction(hi) / one)
        countries = ["US"] if not ask.metric and units_of(ask.plain) == "US" else ["US", "Australia"]
        lo, hi = map(float, hull(possible_ml(told, amount.unit, country, heaped) for country in countries))
    cup = float(convert(Fraction(1), "cup", "mL"))
    return Range(lo / cup, hi / cup, "cup")


def _cuts_said(ask: Ask, around: str) -> frozenset[str]:
    answers = ask.knowledge.evidence["fruit-prep"].answers
    said = frozenset(id_ for id_ in answers if concept(ask.knowledge, f"cut-{id_}", around))
    return said or _told(ask, "fruit-prep")


def _cuts(ask: Ask, around: str, food: FoodSolids) -> frozenset[str]:
    if ALWAYS in food.grams_per_cup:
        return frozenset()
    usual = frozenset(ask.knowledge.concepts.get("cut-unsaid", ()))
    return _cuts_said(ask, around) or (usual & frozenset(food.grams_per_cup)) or usual


def _told(ask: Ask, evidence: str) -> frozenset[str]:
    return ask.facts.possible(evidence) if ask.facts.known(evidence) else frozenset()
