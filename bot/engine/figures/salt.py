"""Salt by weight: the per cent that was mixed, and the weight for a per cent that is wanted.

In a ferment too little salt is what harms, so that what is there is rounded down and what is wanted up.
"""

from __future__ import annotations

import re
from fractions import Fraction
from math import ceil

from bot.engine.figures import NOT_ASKED, Ask, Figure
from bot.engine.figures.amounts import Amount, Amounts, below_nothing, find_amounts
from bot.engine.figures.both_systems import both, grams_between, grams_up, per_cent
from bot.engine.figures.salt_kinds import ABOUT, FINE, FLAKES, every_salt_word, kind_told, name_of
from bot.engine.figures.story import told_of_a_batch
from bot.engine.quantities import find_quantities
from bot.kitchen.salt import (
    SATURATED,
    SaltPercent,
    grams_of_salt,
    salt_for,
    salt_percent,
    teaspoons_of_salt,
    water_grams,
)
from bot.kitchen.span import Span, exactly
from bot.kitchen.units import FACTORS, convert, kitchen_measure

_MOST_G = 500_000
_HOW_MUCH = re.compile(r"\bhow (?:much|many)\b|\bamount of\b")
_SALT_FOR = re.compile(r"\bsalt (?:for|per|to|in)\b")
_BEYOND = re.compile(r"(?<![\d.,])\d{3,}(?:\.\d+)? ?(?:%|percent|per cent)")


def salt_percent_of(ask: Ask) -> Figure:
    """Per cent of the salt in water or on vegetables, against what published ferments hold; in vinegar salt is only taste."""
    if told_of_a_batch(ask, ABOUT, "asks-of-salt") or _HOW_MUCH.search(ask.last) or ask.says("poured-acid"):
        return NOT_ASKED
    found = _told(ask)
    salt, other = found.one("salt"), _other(found)
    if salt is None or other is None:
        return NOT_ASKED
    if below_nothing(ask.last) or not _sensible(salt, other):
        return Figure("no-such-amounts")
    kind, weighed = kind_told(ask), salt.unit in FACTORS["mass"]
    percent = _percent(ask, salt, other, kind or FINE)
    values = {
        "salt": both(salt),
        "other": both(other),
        "percent": per_cent(percent.of_other, weighed),
        "whole": per_cent(percent.of_whole, weighed),
        "flakes": per_cent(_percent(ask, salt, other, FLAKES).of_other),
        "needed": _least(ask, other),
    }
    return Figure(_way_of(ask, other, percent.of_other, weighed or bool(kind)), values)


def _percent(ask: Ask, salt: Amount, other: Amount, kind: str) -> SaltPercent:
    return salt_percent(grams_of_salt(salt.figure, salt.unit, [ask.tables.salts[kind]]), _grams(other))


def _least(ask: Ask, of: Amount) -> str:
    """The least weight of salt that published kraut of so much cabbage has."""
    return grams_up(salt_for(ask.tables.salt_aims["dry"], _grams(of)).lo)


def _way_of(ask: Ask, other: Amount, percent: Span, certain: bool) -> str:
    """Which words fit: by what was salted, and where the per cent lies against the published one."""
    if other.unit in FACTORS["volume"]:
        return "wet" if certain else "wet-any-salt"
    if not ask.says("salted-dry"):
        return "other-food" if certain else "other-food-any-salt"
    if not certain:
        return "dry-any-salt"
    aim = ask.tables.salt_aims["dry"]
    if percent.hi < aim.lo:
        return "dry-too-little"
    if percent.lo > aim.hi:
        return "dry-more"
    return "dry-right" if percent.lo >= aim.lo and percent.hi <= aim.hi else "dry-about"


def salt_wanted(ask: Ask) -> Figure:
    """Grams of salt, and spoons of fine salt, for so much cabbage or water."""
    if told_of_a_batch(ask, ABOUT) or ask.says("poured-acid"):
        return NOT_ASKED
    wanted, other = _per_cent_told(ask), _other(_told(ask, salt=False))
    if wanted is None and _BEYOND.search(ask.last):
        return Figure("no-such-percent")
    if not _is_wanted(ask, wanted, other):
        return NOT_ASKED
    of = other or _one_of_it(ask)
    possible = wanted is None or 0 < wanted.lo <= wanted.hi <= SATURATED
    if below_nothing(ask.last) or not possible or not 0 < _grams(of).hi <= _MOST_G:
        return Figure("no-such-percent")
    kraut, top_up = ask.tables.salt_aims["dry"], ask.tables.salt_aims["top-up"]
    if of.unit in FACTORS["volume"]:
        aim = wanted or top_up
        return Figure("for-wet-thin" if aim.hi < top_up.lo else "for-wet", _brine_values(ask, aim, of))
    aim = wanted or kraut
    way = "for-dry-less" if aim.hi < kraut.lo else "for-dry-more" if aim.lo > kraut.hi else "for-dry"
    return Figure(way if ask.says("salted-dry") else "for-other-food", _dry_values(ask, aim, of))


def _one_of_it(ask: Ask) -> Amount:
    """What a per cent is told for when no amount is: a pound or kilo of cabbage, a quart or litre of water."""
    us, metric = ("lb", "kg") if ask.says("salted-dry") and not ask.says("salted-water") else ("quart", "L")
    return Amount(exactly(1), metric if ask.metric else us, 0, 0)


def _per_cent_told(ask: Ask) -> Span | None:
    """The one per cent of the message, or else of the last one that it goes on from."""
    for plain in (ask.last, *reversed(ask.earlier)):
        told = [q for q in find_quantities(plain) if q.kind == "percent"]
        if told:
            return Span(Fraction(told[0].lo), Fraction(told[0].hi)) if len(told) == 1 else None
    return None


def _is_wanted(ask: Ask, wanted: Span | None, other: Amount | None) -> bool:
    """Whether enough is told: a per cent of something, or an amount of what has a published per cent."""
    brine, dry = ask.says("salted-water"), ask.says("salted-dry")
    salted = brine or ask.says("salt-any")
    if wanted is not None:
        return salted and (other is not None or dry or brine)
    asks = _HOW_MUCH.search(ask.plain) or (_SALT_FOR.search(ask.plain) and len(find_amounts(ask.last, {}).others) == 1)
    return bool(asks) and other is not None and dry and salted


def _dry_values(ask: Ask, aim: Span, of: Amount) -> dict[str, str]:
    grams, kind = salt_for(aim, _grams(of)), kind_told(ask)
    middle = exactly((grams.lo + grams.hi) / 2)
    other = kind if kind and kind != FINE else ""
    return {
        "grams": grams_between(grams) if grams.lo != grams.hi else grams_up(grams.lo),
        "of": both(of),
        "percent": per_cent(aim, True),
        "spoons": _spoons(ask, middle, FINE),
        "named": name_of(ask, other) if other else "",
        "named_spoons": _spoons(ask, middle, other) if other else "",
        "needed": _least(ask, of),
    }


def _brine_values(ask: Ask, aim: Span, of: Amount) -> dict[str, str]:
    """By weight of the water, which is how most recipes count, and by that of the whole brine, which takes a little more."""
    of_water, of_whole = salt_for(aim, _grams(of)).hi, salt_for(aim, _grams(of), of_whole=True).hi
    return {
        "percent": per_cent(aim, True),
        "of": both(of),
        "grams": grams_up(of_water),
        "spoons": _spoons(ask, exactly(of_water), FINE),
        "whole": grams_up(of_whole) if ceil(of_whole) > ceil(of_water) else "",
    }


def _spoons(ask: Ask, grams: Span, kind: str) -> str:
    teaspoons = teaspoons_of_salt(grams, ask.tables.salts[kind])
    return " to ".join(dict.fromkeys(kitchen_measure(end, never_below=True) for end in teaspoons))


def _told(ask: Ask, salt: bool = True) -> Amounts:
    """Salt, water and the rest, of this message and, where it says nothing of one of them, of those it goes on from."""
    of: dict[str, tuple[Amount, ...]] = {}
    others: tuple[Amount, ...] = ()
    words = {"water": ask.knowledge.concepts["poured-water"], **({"salt": every_salt_word(ask)} if salt else {})}
    for plain in (*ask.earlier, ask.last):
        found = find_amounts(plain, words, poured=("water",))
        if found.others:  # "and for 2 quarts?": in place of the water before
            of.pop("water", None)
        of |= found.of
        others = found.others or others
    return Amounts(of, others)


def _other(found: Amounts) -> Amount | None:
    """What the salt goes into: the water, or the one other amount that is told."""
    water = found.one("water")
    if water is not None:
        return water
    return found.others[0] if len(found.others) == 1 else None


def _grams(amount: Amount) -> Span:
    if amount.unit in FACTORS["mass"]:
        return amount.grams
    return water_grams(Span(convert(amount.figure.lo, amount.unit, "mL"), convert(amount.figure.hi, amount.unit, "mL")))


def _sensible(salt: Amount, other: Amount) -> bool:
    """Whether both are there, in amounts that a kitchen holds, and more is salted than there is salt."""
    size = convert(salt.figure.hi, salt.unit, "g" if salt.unit in FACTORS["mass"] else "mL")
    return salt.figure.lo > 0 and size < _grams(other).lo and _grams(other).hi <= _MOST_G
