"""What a brine of acid and water comes to, without vegetables and with them.

A check, not a licence: whatever comes out here fails a mixture or proves nothing. No outcome of a batch rests on it.
"""

from __future__ import annotations

from fractions import Fraction

from bot.engine.facts import UNSAFE_IN_A_BATH
from bot.engine.figures import NOT_ASKED, Ask, Figure
from bot.engine.figures.amounts import PART, below_nothing, mentions
from bot.engine.figures.mixture import Mixed, Poured, by_country, poured, told_twice
from bot.engine.figures.story import told_of_a_batch
from bot.engine.figures.strength import ALL_IT_MAY_BE, CALLED_FOR, STRENGTH, strength_told
from bot.kitchen.acidity import (
    STRONGEST,
    Brine,
    against_minimums,
    batch_acidity,
    brine_strength,
    show_acid,
    vinegar_share,
)
from bot.kitchen.span import BELOW, Span, exactly, hull

ABOUT = frozenset({STRENGTH, "recipe-changes", "liquid-lost"})  # "two thirds" may be heard as so much lost


def acid_of_a_mixture(ask: Ask) -> Figure:
    """The acid of a brine against the published minimums, without vegetables and with them."""
    if told_of_a_batch(ask, ABOUT):
        return NOT_ASKED
    told = poured(ask)
    if told is None and told_twice(ask):
        return Figure("one-at-a-time")
    if told is None:
        asks = ask.says("poured-acid", "salted-water") and ask.says("asks-how-strong")
        return Figure(missing="amounts") if asks and not ask.says("salt-any") else NOT_ASKED
    never = _never_on_a_shelf(ask)
    if never:
        return Figure("no-tested-recipe", {"food": never})
    if below_nothing(ask.last) or not told.sensible:
        return Figure("no-such-amounts")
    strength = strength_told(ask)
    if strength is not None and strength.lo > STRONGEST:
        return Figure("no-such-strength")
    return _against(ask, told, strength)


def _against(ask: Ask, told: Poured, strength: Span | None) -> Figure:
    """Which minimum fails it, worst first; a brine that fails none is told that this proves nothing."""
    mixed = list(by_country(ask, told, strength or exactly(CALLED_FOR)))
    share = hull(vinegar_share(each.brine) for each in mixed)
    jar = None
    if told.packed and told.acid.unit != PART:
        jar = hull(batch_acidity(each.brine, each.pack, each.room) for each in mixed)
    values = _values(ask, mixed, strength, share, jar)
    failed = _failed(ask, mixed, strength, jar)
    if strength is not None and strength.lo < CALLED_FOR:
        return Figure("too-weak" if values["strength"] else "not-certain", values)
    if "jar" in failed:
        return Figure("too-much-packed", values)
    if share.lo < _thinnest(ask):
        return Figure("thinner-than-any", values)
    if "share" in failed:
        return Figure("under-half", values)
    return Figure(missing=STRENGTH) if strength is None else Figure("half-or-more", values)


def _values(ask: Ask, mixed: list[Mixed], strength: Span | None, share: Span, jar: Span | None) -> dict[str, str]:
    exact = strength is not None and strength.lo == strength.hi
    brine = hull(brine_strength(each.brine, each.room) for each in mixed)
    return {
        "share": show_acid(share),
        "strength": show_acid(strength) if strength is not None and exact else "",
        "if_five": "" if strength is not None else show_acid(exactly(CALLED_FOR)),
        "mixed": show_acid(brine) if strength is None or exact else "",
        "jar": show_acid(jar) if jar else "",
        "thinnest": show_acid(exactly(_thinnest(ask))),
    }


def _failed(ask: Ask, mixed: list[Mixed], strength: Span | None, jar: Span | None) -> set[str]:
    """Measures that the mixture does not certainly reach; of the jar only what it certainly fails, for that is the most there can be."""
    reckoned = [Brine(each.brine.vinegar_ml, strength or ALL_IT_MAY_BE, each.brine.water_ml) for each in mixed]
    held = [each for brine in reckoned for each in against_minimums(ask.tables.acid_minimums, brine, jar)]
    jars = {each.minimum.measure for each in held if each.minimum.measure == "jar" and each.stands == BELOW}
    return jars | {
        each.minimum.measure for each in held if each.minimum.measure == "share" and each.stands != "reached"
    }


def _never_on_a_shelf(ask: Ask) -> str:
    """Foods that no tested recipe with acid puts on a shelf, by name."""
    foods = [ask.knowledge.foods[each] for each in sorted(ask.facts.foods())]
    named = [food.name for food in foods if food.acidity in UNSAFE_IN_A_BATH and not food.with_acid]
    others = mentions(ask.plain, {word: (word,) for word in ask.knowledge.concepts["never-on-a-shelf"]})
    return " and ".join(dict.fromkeys((*named, *(each.thing for each in others))))


def _thinnest(ask: Ask) -> Fraction:
    """The least share of acid in acid and water of any tested recipe of the table, %."""
    return min(vinegar_share(brine).lo for brine in ask.tables.tested_brines.values())
