"""What a message names of the foods that have a weight by the cup."""

from __future__ import annotations

import re
from typing import NamedTuple

from bot.engine.figures import Ask
from bot.engine.figures.amounts import has_any, measure_words
from bot.kitchen.cup_weights import CupWeight, weights_of

_TWO_FOODS = re.compile(r"\b(?:for|with|per|and)\b")
_PANTRY = "pantry-"  # concepts of foods that are in no jar by themselves begin so, and go on with the food of their row


class ByTheCup(NamedTuple):
    """Rows of the table that are meant, and what they are called together."""

    rows: tuple[CupWeight, ...]
    called: str


def by_the_cup(ask: Ask) -> ByTheCup | None:
    """The food that is named, in the cut that is named; no rows for one that is not in the table; None where none is named.

    Of two foods none is meant: "how many cups of sugar for 2 kg of plums" asks no weight. What stands in a pantry goes before the fruit it is of: a jam, a syrup. "Berries" are any of them, unless one is named.
    """
    for plain in (ask.last, *reversed(ask.earlier)):
        word, pantry = _longest(ask, plain)
        fruit = frozenset(ask.facts.foods())
        if fruit and pantry and _TWO_FOODS.search(plain):
            return None
        if fruit and len(pantry) != 1:
            names = " or ".join(ask.knowledge.foods[each].name for each in sorted(fruit))
            return ByTheCup(_rows(ask, plain, fruit), names)
        if pantry:
            return ByTheCup(_rows(ask, plain, pantry), word)
        named = _of_something(plain)
        if named:
            return ByTheCup((), named)
    return None


def _longest(ask: Ask, plain: str) -> tuple[str, frozenset[str]]:
    """The longest name of a pantry food in the text, and the foods that go by it."""
    concepts = ask.knowledge.concepts
    table = {each.food for each in ask.tables.cup_weights}
    named = [(word, food) for food in table for word in concepts.get(_PANTRY + food, ()) if has_any(plain, (word,))]
    longest = max((len(word) for word, _ in named), default=0)
    found = [(word, food) for word, food in named if len(word) == longest]
    return (min(word for word, _ in found) if found else "", frozenset(food for _, food in found))


def _of_something(plain: str) -> str:
    """ "A cup of quinoa": what is behind the measure, when it is nothing that is known here."""
    units = "|".join(map(re.escape, sorted(measure_words(), key=len, reverse=True)))
    found = re.search(rf"\b(?:{units}) of (?:the |my |some )?([a-z]{{3,}})", plain)
    if found and found.group(1) not in measure_words():
        return found.group(1)
    alone = re.fullmatch(r"(?:of )?([a-z]{3,})", plain.strip())  # the answer to "of what?"
    return alone.group(1) if alone else ""


def _rows(ask: Ask, plain: str, foods: frozenset[str]) -> tuple[CupWeight, ...]:
    """Rows of the foods in the cut that is named; in any but those that nobody means unnamed, when none is."""
    every = ask.tables.cup_weights
    cuts = {each.cut for each in every if each.food in foods and has_any(plain, (each.cut,))}
    try:
        found = weights_of(every, foods, cuts.pop() if len(cuts) == 1 else None)
    except ValueError:
        return ()
    usual = tuple(each for each in found if each.cut not in ask.knowledge.concepts["cut-if-named"])
    return found if cuts or not usual or len(found) == 1 else usual
