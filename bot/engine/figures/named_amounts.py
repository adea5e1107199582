"""Which amount in a message is of what: "3 lb strawberries with 5 cups sugar", "sugar 1 kg, plums 1.5 kg", "1 kg each of plums and sugar"."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, NamedTuple, cast

from bot.engine.figures import Ask
from bot.engine.figures.said import Place, concept, gap, places
from bot.engine.quantities import Quantity
from bot.kitchen.soluble_solids import FoodSolids

ANY = "any"  # of the foods: nobody said which
MOST_READ = 6  # amounts: no recipe of this kind has more
_EACH = re.compile(r"\s*(?:of )?each\b")
_ENDS = re.compile(r"[!?;\n]|\.(?!\d)")
_BEFORE_COSTS = 4  # characters: "3 lb plums" is said more often than "plums 3 lb"


class Pair(NamedTuple):
    """An amount and what it is of: a row of the table, a food that is in none, or `ANY`."""

    amount: Quantity
    name: Place


def pairs_of(ask: Ask) -> list[Pair]:
    """The amounts of a message and what each is of; those of nobody knows what are left out."""
    named = _names(ask)
    amounts = amounts_told(ask)[:MOST_READ]
    pairs = _matched(amounts, named, ask.plain)
    taken = {pair.amount for pair in pairs}
    left = [each for each in amounts if each not in taken]
    pairs += _each_of(ask, pairs, named)
    pairs += _same_amount(ask, pairs, named)
    if left and not any(is_food(ask, pair.name.name) for pair in pairs):
        pairs += _the_food_heard(ask, left, named)
    left = [each for each in left if each not in {pair.amount for pair in pairs} and _alone(each, ask.plain)]
    if left and pairs:
        pairs += _the_one_lacking(ask, left, pairs)
    return pairs


def amounts_told(ask: Ask) -> list[Quantity]:
    """Weights and volumes that are no size of a pot or a jar."""
    sizes = concept(ask.knowledge, "pot-word", ask.plain) + concept(ask.knowledge, "jar-word", ask.plain)
    return [
        each
        for each in ask.quantities
        if each.kind in ("weight", "volume") and not any(0 <= place.start - each.end <= 2 for place in sizes)
    ]


def table(ask: Ask) -> Mapping[str, FoodSolids]:
    """What each food and each thing beside it holds."""
    return cast("Mapping[str, FoodSolids]", ask.knowledge.tables["solids"])


def _beside(ask: Ask) -> dict[str, list[str]]:
    """What goes in beside the food, and what people call it."""
    plain: Any = ask.knowledge.tables["plain"]
    return {id_: list(row["words"]) for id_, row in plain["soluble-solids"]["rows"].items() if "words" in row}


def _names(ask: Ask) -> list[Place]:
    called: dict[str, list[str]] = {id_: [food.name, *food.words] for id_, food in ask.knowledge.foods.items()}
    called |= _beside(ask)
    called[ANY] = list(ask.knowledge.concepts.get("any-of-the-foods", ()))
    return places(ask.plain, called)


def _matched(amounts: list[Quantity], named: list[Place], plain: str) -> list[Pair]:
    """Each amount with the name behind or before it, so that as many as can be have one, and the nearest."""
    best: tuple[int, int, list[Pair]] = (0, 0, [])

    def choose(at: int, pairs: list[Pair], cost: int) -> None:
        nonlocal best
        if at == len(amounts):
            if (len(pairs), -cost) > (best[0], -best[1]):
                best = (len(pairs), cost, pairs)
            return
        choose(at + 1, pairs, cost)
        for name in _around(amounts[at], amounts, named, plain):
            if name not in [pair.name for pair in pairs]:
                extra = gap(amounts[at], name) + (_BEFORE_COSTS if name.end <= amounts[at].start else 0)
                choose(at + 1, [*pairs, Pair(amounts[at], name)], cost + extra)

    choose(0, [], 0)
    return best[2]


def _around(amount: Quantity, amounts: list[Quantity], named: list[Place], plain: str) -> list[Place]:
    """The next name behind an amount and the last one before it, with no other amount and no end of a sentence between."""
    found = []
    behind = next((each for each in named if each.start >= amount.end), None)
    before = next((each for each in reversed(named) if each.end <= amount.start), None)
    for name in (behind, before):
        if name is None:
            continue
        first, last = min(name.end, amount.end), max(name.start, amount.start)
        other = any(first <= each.start < last for each in amounts if each is not amount)
        if not other and not _ENDS.search(plain, first, last):
            found.append(name)
    return found


def _each_of(ask: Ask, pairs: list[Pair], named: list[Place]) -> list[Pair]:
    """ "1 kg each of plums and sugar": the others have the same amount."""
    for amount in amounts_told(ask):
        if _EACH.match(ask.plain, amount.end):
            had = {pair.name.name for pair in pairs}
            return [Pair(amount, name) for name in named if name.name not in had]
    return []


def _same_amount(ask: Ask, pairs: list[Pair], named: list[Place]) -> list[Pair]:
    """ "2 lb of plums and the same weight of sugar"."""
    had = {pair.name.name for pair in pairs}
    rest = [each for each in named if each.name not in had and not is_food(ask, each.name)]
    weights = [pair.amount for pair in pairs if is_food(ask, pair.name.name)]
    if len(rest) == 1 and len(weights) == 1 and concept(ask.knowledge, "same-amount", ask.plain):
        return [Pair(weights[0], rest[0])]
    return []


def _the_food_heard(ask: Ask, left: list[Quantity], named: list[Place]) -> list[Pair]:
    """A food told in another sentence than its amount, or heard in spite of a typing error, has the first amount that is left."""
    foods = {each.name for each in named if is_food(ask, each.name)} or {
        food for food in ask.facts.foods() if food in table(ask)
    }
    return [Pair(left[0], Place(name, left[0].start, left[0].end)) for name in foods] if len(foods) == 1 else []


def _the_one_lacking(ask: Ask, left: list[Quantity], pairs: list[Pair]) -> list[Pair]:
    """An amount that is a whole sentence answers what was asked for: of food and sugar the one that had none."""
    foods = [pair for pair in pairs if is_food(ask, pair.name.name)]
    if len(foods) == len(pairs):
        name = max(
            (id_ for id_ in table(ask) if not is_food(ask, id_)),
            key=lambda id_: max(e.lo for e in table(ask)[id_].percent.values()),
        )
    else:
        name = "" if foods else ANY
    return [Pair(left[0], Place(name, left[0].start, left[0].end))] if name else []


def _alone(amount: Quantity, plain: str) -> bool:
    """Whether an amount is a sentence by itself, but for two short words: "about 1 kg", "5 cups then"."""
    first = max((m.end() for m in _ENDS.finditer(plain) if m.end() <= amount.start), default=0)
    last = next((m.start() for m in _ENDS.finditer(plain) if m.start() >= amount.end), len(plain))
    return len(plain[first : amount.start].split()) + len(plain[amount.end : last].split()) <= 2


def is_food(ask: Ask, name: str) -> bool:
    """Whether it is what the jam is made of, not sugar or water beside it."""
    return name == ANY or (name in ask.knowledge.foods and name not in _beside(ask))
