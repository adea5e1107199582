"""Amounts for soft jam that is cooked again."""

from __future__ import annotations

from fractions import Fraction

from bot.engine.batch import cups, remake_words
from bot.engine.case import Belief
from bot.engine.facts import Facts
from bot.engine.figures import Ask, Figure
from bot.kitchen.units import convert

PINTS = {"pint": "pint", "quart": "quart"}  # units that jars are called by
KINDS = ("powder", "liquid", "none")  # answers of `pectin` that are rows of the remake table too


def _with_jars_of_the_question(ask: Ask) -> Facts:
    """ "For 5 half pints": jars and their size, told in one breath with the question."""
    facts = ask.facts
    jars = [q for q in ask.quantities if q.kind == "count" and q.lo == q.hi]
    told = [q for q in ask.quantities if q.kind == "volume" and q.unit in PINTS and q.lo == q.hi]
    beliefs = dict(facts.case.beliefs)
    if jars:
        beliefs["jar-count", ""] = Belief(lo=float(jars[0].lo), hi=float(jars[0].hi))
    elif told:
        each = convert(Fraction(1), told[0].unit, "mL")
        beliefs["jar-count", ""] = Belief(lo=float(Fraction(told[0].lo) / each), hi=float(Fraction(told[0].lo) / each))
        beliefs["jar-size", ""] = Belief(possible=frozenset({PINTS[told[0].unit]}))
    return Facts(facts.knowledge, facts.case._replace(beliefs=beliefs), facts.now)


def remake(ask: Ask) -> Figure:
    """What to add for the stated jars, by the pectin that is named; every way of it where none is."""
    facts = _with_jars_of_the_question(ask)
    if facts.belief("jar-count") is not None and cups(facts) is None:
        return Figure(missing="jar-size")
    told = facts.possible("pectin") if facts.known("pectin") else frozenset[str]()
    amounts = {f"remake_{row}": remake_words(facts, row, ask.metric) or "" for row in KINDS}
    (kind,) = told if len(told) == 1 else ("",)
    return Figure(kind if kind in KINDS else "any", amounts)
