"""One unit told in another: weights, volumes by country, lengths and heights."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

from bot.engine.figures import NOT_ASKED, Ask, Figure
from bot.engine.figures.amounts import below_nothing
from bot.engine.figures.both_systems import counted, label, other_system, significant
from bot.engine.figures.pantry import by_the_cup
from bot.engine.figures.story import tells_of_jars
from bot.engine.numbers import Tokens, read_number
from bot.engine.quantities import Quantity, find_quantities
from bot.engine.unit_words import UNITS
from bot.kitchen.units import FACTORS, convert
from bot.kitchen.which_unit import NAMES, readings

# whose measures are told, as they stand behind "in"
COUNTRIES = {"US": "the US", "UK": "the UK", "Canada": "Canada", "Australia": "Australia"}
_SAME = Fraction(3, 100)  # nobody measures a spoon or a cup finer
_KINDS = {"volume": "volume", "weight": "mass", "length": "length", "altitude": "length"}
_LETTERS = re.compile(r"\b(?:in|to|into|as|many) $")  # before a letter that stands for a unit
_INCHES = frozenset({"in", '"', "″", "”"})  # too short to stand for themselves
# words for a country before a unit -> whose measures are meant, and how it is told again
_WHERE = {
    "us": ("US", "US"), "american": ("US", "US"), "uk": ("UK", "UK"), "british": ("UK", "UK"), "english": ("UK", "UK"),
    "imperial": ("UK", "imperial"), "metric": ("UK", "metric"), "canadian": ("Canada", "Canadian"),
    "australian": ("Australia", "Australian"),
}  # fmt: skip
_ASKED_FOR = re.compile(r"\b(?:how many|what|many|number of) $")
_WANTED = re.compile(r"\b(?:convert|metric|imperial|american)\b")
_FLUID = {"oz": "fl oz"}
_LONG = 1_000  # of heights; below it, and of all else, three digits are plenty
_MOST = 1_000_000


class Unit(NamedTuple):
    """A unit that is named, with its number and its country where it has them. `kind` is one of `units.FACTORS`."""

    name: str
    kind: str
    number: Fraction | None
    start: int
    country: str = ""
    called: str = ""  # the word for the country, as it was said


def other_unit(ask: Ask) -> Figure:
    """An amount in another unit of the same kind; by country where a unit means several things."""
    pair = source_and_target(ask)
    if pair is None or tells_of_jars(ask):
        return NOT_ASKED
    source, target = pair
    if target is None and not _WANTED.search(ask.plain):
        return NOT_ASKED
    unit, to = source.name, target.name if target else other_system(source.name)
    if of_a_jug(source, target):
        if by_the_cup(ask) is not None:
            return NOT_ASKED  # what ounces of a food fill depends on the food
        unit, to = (_FLUID.get(each, each) for each in (unit, to))
    amount = Fraction(1) if source.number is None else source.number
    theirs = (source.country, target.country if target else "")
    if not any(unit in units and to in units for units in FACTORS.values()) or (unit == to and len({*theirs}) == 1):
        return NOT_ASKED
    if below_nothing(ask.last) or not 0 < amount <= _MOST:
        return Figure("no-such-amount", of_this_kitchen=False)
    return _told(
        amount,
        Unit(unit, "", None, 0, theirs[0], source.called),
        Unit(to, "", None, 0, theirs[1], target.called if target else ""),
    )


def _told(amount: Fraction, source: Unit, target: Unit) -> Figure:
    """By the country that is named, or by each: one country that is named goes for both units."""
    named = source.country or target.country
    told = {where: _converted(amount, source, target, where) for where in ([named] if named else COUNTRIES)}
    values = _by_country(told, target.name)
    values["first"] = _called(values["first"], target)
    shown = {"amount": _called(counted(amount, source.name), source), **values}
    return Figure("by-country" if values["second"] else "exact", shown, of_this_kitchen=False)


def _called(words: str, unit: Unit) -> str:
    """ "2 UK pints" for "2 pints"."""
    number, _, name = words.rpartition(" ")
    return f"{number} {unit.called} {name}" if unit.called else words


def of_a_jug(source: Unit, target: Unit | None) -> bool:
    """Whether ounces stand beside a volume: they are fluid ounces, unless a food is named."""
    return target is not None and source.kind != target.kind and "oz" in (source.name, target.name)


def _converted(amount: Fraction, unit: Unit, to: Unit, country: str) -> Fraction:
    """By the measures of a country, where the unit names none of its own: the first of each name that it has."""
    if unit.name not in FACTORS["volume"]:
        return convert(amount, unit.name, to.name)
    return amount * _millilitres(unit, unit.country or country) / _millilitres(to, to.country or country)


def _millilitres(unit: Unit, country: str) -> Fraction:
    own = f"{unit.called.lower()} {unit.name}"  # "imperial cup", "metric tbsp"
    if own in FACTORS["volume"]:
        return convert(Fraction(1), own, "mL")
    if unit.name in NAMES:
        return readings(Fraction(1), unit.name, country)[0].millilitres
    return convert(Fraction(1), unit.name, "mL")


def _by_country(told: dict[str, Fraction], unit: str) -> dict[str, str]:
    """The first country's figure, and those that differ from all before by more than a spoon shows."""
    apart: dict[Fraction, list[str]] = {}
    for country, figure in told.items():
        same = next((each for each in apart if abs(figure - each) <= _SAME * each), figure)
        apart.setdefault(same, []).append(country)
    values: dict[str, str] = dict.fromkeys(("second", "more"), "")
    for name, (figure, countries) in zip(("first", "second", "third"), apart.items(), strict=False):
        rough = len({told[each] for each in countries}) > 1 or (unit == "mL" and figure < 100)
        values[name] = f"{significant(figure, 2 if rough else 4 if figure >= _LONG else 3)} {label(unit, figure)}"
        values[f"{name}_where"] = _listed([COUNTRIES[each] for each in countries])
    if values["second"]:
        one, other, *_ = apart
        more = 100 * (other / one - 1)
        values["more"] = f"{round(abs(more))} % {'more' if more > 0 else 'less'}"
    return values


def _listed(words: list[str]) -> str:
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))


def source_and_target(ask: Ask) -> tuple[Unit, Unit | None] | None:
    """The amount that is told and the unit it is wanted in, from here or from what this goes on from; None for no one amount."""
    found: tuple[Unit, Unit | None] | None = None
    for plain in (*ask.earlier, ask.last):
        now = _pair(plain)
        if found is None or (now is not None and now[1] is not None):
            found = now or found
        elif now is not None:
            asked_in = _LETTERS.search(plain, 0, now[0].start) and now[0].number is None
            found = (found[0], now[0]) if asked_in else (now[0], found[1])
    return found


def _pair(plain: str) -> tuple[Unit, Unit | None] | None:
    named = units_named(plain)
    numbered = [each for each in named if each.number is not None]
    bare = [each for each in named if each.number is None]
    if len(numbered) > 1 or not named:
        return None
    wanted = [each for each in bare if _ASKED_FOR.search(plain, 0, each.start)]
    target = wanted[0] if wanted else bare[-1] if bare and (numbered or len(bare) == 2) else None
    source = numbered[0] if numbered else next((each for each in bare if each is not target), None)
    return None if source is None else (source, target)


def units_named(plain: str) -> list[Unit]:
    """Every unit of weight, volume, length or height, with its number and country; "a litre" is one."""
    told = find_quantities(plain)
    found = [_of(q) for q in told if q.kind in _KINDS and q.lo == q.hi]
    t = Tokens(plain)
    for i in range(t.count):
        if any(q.start <= t.starts[i] < q.end for q in told if q.kind in _KINDS) or t.words[i - 1] in ("fl", "fluid"):
            continue
        name, kind = _name_at(t, i, plain)
        if name:
            before = i - (t.words[i - 1] in _WHERE if i else 0)
            country = _WHERE.get(t.words[i - 1], ("", "")) if before < i else ("", "")
            found.append(Unit(name, kind, _number_before(t, before), t.starts[before], *country))
    return sorted(found, key=lambda each: each.start)


def _name_at(t: Tokens, i: int, plain: str) -> tuple[str, str]:
    """The unit at a token and what it measures; nothing for "in", and for a letter where no unit is asked for."""
    word = t.words[i]
    if word in ("fl", "fluid"):
        return ("fl oz", "volume") if UNITS.get(t.words[i + 1], ("", ""))[1] == "oz" else ("", "")
    kind, name, _ = UNITS.get(word, ("", "", 0))
    lonely = len(word) == 1 and not _LETTERS.search(plain, 0, t.starts[i])
    return ("", "") if kind not in _KINDS or word in _INCHES or lonely else (name, _KINDS[kind])


def _number_before(t: Tokens, end: int) -> Fraction | None:
    """The number that ends right before a token: "half a", "2", "an"; "per" and "every" are one."""
    for i in range(max(end - 4, 0), end):
        n = read_number(t, i)
        if n is not None and n.after == end and n.lo == n.hi:
            return n.lo
    return Fraction(1) if end and t.words[end - 1] in ("per", "each", "every") else None


def _of(quantity: Quantity) -> Unit:
    """A quantity again in the unit it was told in."""
    whole = {"volume": "mL", "weight": "g", "length": "in", "altitude": "ft"}[quantity.kind]
    number = convert(Fraction(quantity.lo), whole, quantity.unit)
    return Unit(quantity.unit, _KINDS[quantity.kind], number, quantity.start)
