"""One kind of salt in place of another, by weight; and the salt behind the sodium that a packet prints."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from math import ceil

from bot.engine.figures import NOT_ASKED, Ask, Figure
from bot.engine.figures.amounts import Amount, Named, below_nothing, find_amounts, mentions
from bot.engine.figures.both_systems import both, significant
from bot.engine.figures.story import told_of_a_batch
from bot.engine.quantities import find_quantities
from bot.kitchen.salt import SaltKind, grams_of_salt, salt_from_sodium, swap_salt
from bot.kitchen.span import exactly
from bot.kitchen.units import FACTORS, convert

FINE, FLAKES = "canning", "kosher"  # rows of the salt table: what recipes mean, and what weighs least by the spoon
# "1 tbsp a quart" may be heard as lemon, and "instead of canning salt" as a jar that was not canned
ABOUT = frozenset({"salt-amount", "salt-kind", "recipe-changes", "acid-added", "process-method"})
_MOST_SPOONS, _MOST_MG = 1_000, 1_000_000
_INSTEAD = re.compile(
    r"\b(?:instead of|in place of|for|rather than|replaces?|replacing|calls? for|says|equals?|equal to|as)\b"
)
_WEIGHT = re.compile(r"\b(?:weighs?|weight|heavy|g|grams?|gms?|oz|ounces?|kg)\b")
_SODIUM = re.compile(r"(\d+(?:[.,]\d+)?) ?(mg|milligrams?|g|grams?)\b")


def salt_words(ask: Ask) -> Mapping[str, tuple[str, ...]]:
    """Kinds of the salt table by what they are called."""
    return {id_: ask.knowledge.concepts[f"salt-{id_}"] for id_ in ask.tables.salts}


def every_salt_word(ask: Ask) -> tuple[str, ...]:
    """All names of salt, of any kind."""
    return (*ask.knowledge.concepts["salt-any"], *(word for words in salt_words(ask).values() for word in words))


def kind_told(ask: Ask) -> str:
    """The kind of salt that is named, here or in what this goes on from, by id; empty where none is, or several are."""
    for plain in (ask.last, *reversed(ask.earlier)):
        named = {each.thing for each in mentions(plain, salt_words(ask))}
        if named:
            return named.pop() if len(named) == 1 else ""
    return ""


def name_of(ask: Ask, id_: str) -> str:
    """What a kind of salt is called."""
    plain = ask.knowledge.tables["plain"]
    assert isinstance(plain, dict)
    name: str = plain["salt-weights"]["rows"][id_]["name"]
    return name


def salt_instead(ask: Ask) -> Figure:
    """As much of one kind of salt as stands in for another, by weight."""
    if told_of_a_batch(ask, ABOUT):
        return NOT_ASKED
    named = mentions(ask.last, {**salt_words(ask), "": ask.knowledge.concepts["salt-any"]})
    kinds = [(each.thing or FINE, each) for each in named]
    if len(kinds) < 2 or not any(each.thing for each in named):
        return NOT_ASKED
    amount = find_amounts(ask.last, {"salt": every_salt_word(ask)}).one("salt")
    if amount is not None and (below_nothing(ask.last) or not 0 < amount.figure.lo <= amount.figure.hi <= _MOST_SPOONS):
        return Figure("no-such-amounts")
    called = _called_for(ask.last, kinds, amount)
    used = next((kind for kind, _ in kinds if kind != called), called)
    return _swapped(ask, amount or Amount(exactly(1), "tbsp", 0, 0), called, used)


def _swapped(ask: Ask, of: Amount, called: str, used: str) -> Figure:
    one, other = ask.tables.salts[called], ask.tables.salts[used]
    swap = swap_salt(of.figure, of.unit, one, other)
    values = {
        "of": both(of),
        "called": name_of(ask, called),
        "used": name_of(ask, used),
        "measure": swap.measure,
        "grams": " to ".join(dict.fromkeys(f"{ceil(end)}" for end in swap.grams)) + " g",
    }
    return Figure("same" if _weigh_alike(one, other) else "other", values)


def _weigh_alike(one: SaltKind, other: SaltKind) -> bool:
    return one.grams_per_tsp == other.grams_per_tsp and one.grams_per_tsp.lo == one.grams_per_tsp.hi


def _called_for(plain: str, kinds: list[tuple[str, Named]], amount: Amount | None) -> str:
    """The kind that the recipe names: the one its amount stands with, else the one behind "instead of"."""
    if amount is not None:
        return min(kinds, key=lambda each: min(abs(each[1].start - amount.end), abs(amount.start - each[1].end)))[0]
    instead = _INSTEAD.search(plain, kinds[0][1].end)
    return kinds[1][0] if instead and instead.start() < kinds[1][1].end else kinds[0][0]


def weight_of_salt(ask: Ask) -> Figure:
    """What spoons or cups of salt weigh: of the kind that is named, or of fine salt and of flakes."""
    if told_of_a_batch(ask, ABOUT, "asks-of-salt") or not _WEIGHT.search(ask.last):
        return NOT_ASKED
    told = [each for each in find_amounts(ask.last, {}).others if each.unit in FACTORS["volume"]]
    if len(told) != 1 or not ask.says("salt-any", *(f"salt-{id_}" for id_ in ask.tables.salts)):
        return NOT_ASKED
    of = told[0]
    if below_nothing(ask.last) or not 0 < of.figure.lo <= of.figure.hi <= _MOST_SPOONS:
        return Figure("no-such-amounts")
    kind = kind_told(ask)
    values = {"of": both(of), "fine": _weighs(ask, of, FINE), "flakes": _weighs(ask, of, FLAKES)}
    if not kind:
        return Figure("any-kind", values)
    return Figure("of-a-kind", {**values, "kind": name_of(ask, kind), "grams": _weighs(ask, of, kind)})


def _weighs(ask: Ask, of: Amount, kind: str) -> str:
    grams = grams_of_salt(of.figure, of.unit, [ask.tables.salts[kind]])
    return " to ".join(dict.fromkeys(significant(end, 2 if grams.hi < 100 else 3) for end in grams)) + " g"


def salt_of_sodium(ask: Ask) -> Figure:
    """Salt behind the sodium that a packet prints, and what a teaspoon of it weighs when the packet names a spoon."""
    named = mentions(ask.last, {"sodium": ask.knowledge.concepts["sodium-word"]})
    told = list(_SODIUM.finditer(ask.last))
    if not named or not told or told_of_a_batch(ask, ABOUT):
        return NOT_ASKED
    near = min(told, key=lambda m: min(abs(named[0].start - m.end()), abs(m.start() - named[0].end)))
    amount = Fraction(near.group(1).replace(",", ".")) * (1 if near.group(2).startswith("m") else 1000)
    if below_nothing(ask.last) or not 0 < amount <= _MOST_MG:
        return Figure("no-such-amounts")
    grams = salt_from_sodium(exactly(amount)).lo / 1000
    values = {"sodium": f"{significant(amount, 4)} mg", "salt": f"{significant(grams, 2)} g", "per_tsp": ""}
    spoons = [q for q in find_quantities(ask.last) if q.kind == "volume" and q.unit in ("tsp", "tbsp") and q.lo == q.hi]
    if spoons and spoons[0].lo > 0:
        values["per_tsp"] = f"{significant(grams / convert(Fraction(spoons[0].lo), 'mL', 'tsp'), 2)} g"
    return Figure("sodium", values)
