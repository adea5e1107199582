"""The strength of a vinegar: what is told of it, and one strength in place of another."""

from __future__ import annotations

import re
from fractions import Fraction
from math import ceil, floor

from bot.engine.figures import NOT_ASKED, Ask, Figure
from bot.engine.figures.amounts import below_nothing, shares
from bot.engine.figures.mixture import poured
from bot.engine.figures.story import told_of_a_batch
from bot.engine.quantities import find_quantities
from bot.kitchen.acidity import STRONGEST, acid_against, volume_for_same_acid, water_to_thin
from bot.kitchen.span import Span, exactly
from bot.kitchen.units import TSP_PER_CUP, kitchen_measure

STRENGTH = "vinegar-strength"
CALLED_FOR = Fraction(5)  # % that recipes mean when they name none
ALL_IT_MAY_BE = Span(Fraction(0), Fraction(STRONGEST))
# another thing is to stand in for it, or it for another thing: that is no question of strength
_SWAPPED = re.compile(r"\b(?:instead of|in place of|rather than|substitute|swap|replace)\b")
ESSENCE = 10  # % from which it burns and is always thinned before use: common practice
# right before a number: it is what the recipe asks for
_CALLS = re.compile(
    r"\b(?:for|to (?:make|get)|make it|down to"
    r"|(?:instead of|in place of|rather than|than|calls? for|called for|says|said|asks? for|wants?|needs?)"
    r"(?: \w+){0,2}) $"
)


def strength_told(ask: Ask) -> Span | None:
    """Strength of the vinegar, %; all that it may be where the person cannot say; None while nobody has said or been asked."""
    if any(shares(plain) for plain in (*ask.earlier, ask.last)):  # "50 % vinegar 50 % water" are parts
        return None
    belief, facts = ask.facts.belief(STRENGTH), ask.facts
    if belief is None or not (belief.said or belief.cant_say):
        return None
    if belief.cant_say or not belief.certain:
        return ALL_IT_MAY_BE
    if belief.lo is None or belief.hi is None:
        return exactly(CALLED_FOR) if facts.possible(STRENGTH) == {"five"} else ALL_IT_MAY_BE
    low, high = (Fraction(end).limit_denominator(1000) for end in (belief.lo, belief.hi))
    # of "5 % or more" no more than 5 is known
    return Span(low, high) if high <= STRONGEST or low > STRONGEST else exactly(low)


def other_strength(ask: Ask) -> Figure:
    """One strength of vinegar in place of another: how much less or more acid, and what that asks of the mixture."""
    if told_of_a_batch(ask, frozenset({STRENGTH, "recipe-changes"}), "what-it-did"):
        return NOT_ASKED
    if poured(ask) is not None or ask.says("other-acid"):
        return NOT_ASKED  # a mixture, or another acid in its place
    told = _two_strengths(ask)
    if told is None:
        return _without_a_number(ask)
    used, called = told
    if not 0 < used <= STRONGEST or not 0 < called <= STRONGEST or below_nothing(ask.last):
        return Figure("no-such-strength")
    part = acid_against(exactly(used), called).lo
    values = {
        "used": f"{float(used):g} %",
        "called": f"{float(called):g} %",
        "less": f"{ceil(100 * (1 - part))} %",
        "more": f"{floor(100 * (part - 1))} %",
        "times": f"{ceil(100 * volume_for_same_acid(exactly(used), called)) / 100:g}",
    }
    if used < CALLED_FOR:
        return Figure("too-weak" if used < called else "too-weak-all-the-same", values)
    if used < called:
        return Figure("weaker-than-called-for", values)
    if used == called:
        return Figure("same", values)
    return Figure("essence" if used >= ESSENCE else "stronger", {**values, **_water_to_thin(used, called)})


def _without_a_number(ask: Ask) -> Figure:
    """A vinegar of which only "weak", "home-made" or nothing is told."""
    if not ask.says("poured-acid"):
        return NOT_ASKED
    if strength_told(ask) is not None:
        return Figure("no-number")
    return Figure(missing=STRENGTH) if ask.says("what-it-did") else NOT_ASKED


def _water_to_thin(used: Fraction, called: Fraction) -> dict[str, str]:
    """Most water to 100 mL, in whole mL, and to a cup, in whole teaspoons: both rounded down."""
    part = water_to_thin(exactly(used), called)
    millilitres, teaspoons = floor(100 * part), Fraction(floor(TSP_PER_CUP * part))
    if not millilitres or not teaspoons:
        return {}
    return {"water": f"{millilitres} mL", "spoons": kitchen_measure(teaspoons)}


def _two_strengths(ask: Ask) -> tuple[Fraction, Fraction] | None:
    """The strength used and the one called for (5 % where none is); None while none is told."""
    told = [q for q in find_quantities(ask.last) if q.kind in ("percent", "bare") and q.lo == q.hi][:2]
    of_acid, of_salt = ask.says("poured-acid"), ask.says("salted-water", "salt-any")
    if not any(q.kind == "percent" for q in told) or (of_salt and not of_acid):
        strength = strength_told(ask)
        return (strength.lo, CALLED_FOR) if of_acid and strength is not None and strength.lo == strength.hi else None
    figures = [Fraction(q.lo) for q in told]
    if len(figures) == 1:
        return None if _SWAPPED.search(ask.last) else (figures[0], CALLED_FOR)
    first, second = (bool(_CALLS.search(ask.last, 0, q.start)) for q in told)
    if first == second:  # which of them the recipe asks for is not clear: the worse reading
        return min(figures), max(figures)
    return (figures[1], figures[0]) if first else (figures[0], figures[1])
