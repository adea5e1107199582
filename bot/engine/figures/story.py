"""Whether a message asks for a figure or tells what was done to a batch; what was done is for the safety rules."""

from __future__ import annotations

import re

from bot.engine.facts import UNSAFE_IN_A_BATH
from bot.engine.figures import Ask
from bot.engine.figures.amounts import has_any

LONG, SENTENCES = 22, 3  # words (numbers aside), and sentences of three words and more, from which it is a story
BY_ITS_SIGN = 2  # weight of a problem that a sign alone makes it have
# Concepts of what spoiled food does, in words that may stand in a message unheard.
_SIGNS = ("gas-word", "slimy-word", "smells-bad", "cloudy-word")
# Safety facts that a question for a figure may name in passing without telling a story: what it is for, ...
_OF_FOOD = frozenset({"food", "product", "recipe-source", "altitude", "jar-size", "pack", "full-sugar"})
# ... what is planned with it, ...
_PLANNED = frozenset({"kept-as", "storage", "process-method"})
# ... and what is put into a cup.
_BY_THE_CUP = frozenset({"recipe-changes", "thickener", "acid-added"})


def told_of_a_batch(ask: Ask, about: frozenset[str], asking: str = "asks-how-strong") -> bool:
    """Whether it is a story: trouble is told, a safety fact the question is not `about`, or what was done.

    What was done may be told by who asks for a figure in the words of the concept `asking`. While a batch is being talked of, only
    what is plainly a question is one, and a danger, such as a weak vinegar, is told of that batch.
    """
    if _troubled(ask, about | _OF_FOOD | _PLANNED) or (ask.in_a_case and _dangerous(ask)):
        return True
    asks = has_any(ask.plain, ask.knowledge.concepts[asking])
    if ask.in_a_case:
        return not (asks or ask.reading.asks or "?" in ask.plain)
    return not asks and has_any(ask.plain, ask.knowledge.concepts["done-already"])


def _dangerous(ask: Ask) -> bool:
    """Whether the message tells any answer that the rules count as a danger, in words or as a number."""
    entries = [(o, ask.knowledge.evidence[o.evidence]) for o in ask.reading.observations if not o.denied]
    in_words = any(set(o.answers) & set(entry.danger) for o, entry in entries)
    return in_words or any(
        o.lo is not None and ask.facts.possible(e.id) <= set(e.danger) for o, e in entries if e.danger
    )


def tells_of_jars(ask: Ask, weighs_food: bool = False) -> bool:
    """Whether a message with numbers to be converted tells more than those: trouble, or what was done with jars.

    Food that is in no jar by a tested recipe is named beside numbers only by somebody who has it in one; unless it is weighed.
    """
    foods = [ask.knowledge.foods[each] for each in ask.facts.foods()]
    unsafe = any(food.acidity in UNSAFE_IN_A_BATH and not food.with_acid for food in foods)
    return _troubled(ask, _OF_FOOD | _BY_THE_CUP if weighs_food else _OF_FOOD) or (unsafe and not weighs_food)


def _troubled(ask: Ask, named: frozenset[str]) -> bool:
    """Whether a problem, a sign of spoiling, or a safety fact other than these is told; or so much that it can be no mere question."""
    safety = {o.evidence for o in ask.reading.observations if ask.knowledge.evidence[o.evidence].safety}
    signs = any(has_any(ask.plain, ask.knowledge.concepts[each]) for each in _SIGNS)
    problems = any(not _only_by(ask, each, named) for each in ask.reading.problems)
    kept = bool(safety & _PLANNED) and any(
        ask.knowledge.foods[f].acidity in UNSAFE_IN_A_BATH for f in ask.facts.foods()
    )
    return bool(safety - named) or signs or problems or kept or _is_long(ask.last)


def _is_long(plain: str) -> bool:
    counts = [
        sum(any(c.isalpha() for c in word) for word in each.split()) for each in re.split(r"[.!?\n](?:\s|$)", plain)
    ]
    return sum(counts) > LONG or sum(count >= 3 for count in counts) >= SENTENCES


def _only_by(ask: Ask, problem: str, named: frozenset[str]) -> bool:
    """Whether a problem was heard in nothing but what may be named: "two thirds vinegar, one third water" has lost none."""
    implied = ask.knowledge.problems[problem].implies
    return bool(named & implied.keys()) and ask.reading.problems[problem] <= BY_ITS_SIGN
