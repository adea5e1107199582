"""How much of what a message names: "2 cups vinegar to 1 litre water", "half and half", "2 to 1", "salt, 3 tbsp".

What the things are called stands in the knowledge (concepts of words/amounts.yaml); here only numbers are given to them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from bot.engine.knowledge import Knowledge
from bot.engine.numbers import NUMBER_WORDS, Tokens, read_number
from bot.engine.quantities import Quantity, find_quantities
from bot.engine.unit_words import UNITS
from bot.kitchen.span import Span, exactly
from bot.kitchen.units import FACTORS, convert

PART = "part"  # of a mixture that is told without measures: "half", "2 parts", "50 %"
_MOST = 5  # things that are looked at, and twice as many numbers; nobody asks for more in one breath
_FAR, _ACROSS, _COMMA, _ODD, _BEHIND = 60, 40, 20, 30, 2  # what speaks against a number being of a thing, in characters
_PARTS = frozenset("part parts measure measures share shares".split())
_NO_PART = frozenset({*UNITS, "per", "%"})  # behind a number that has a unit
_EQUAL = re.compile(
    r"\b(?:equal|equals|same amounts?|half (?:and|&|/)? ?half|half-and-half|fifty[ -/]fifty|50 50|as much \w+ as)\b"
)
_NUMBER = "|".join([r"\d+(?:\.\d+)?", *list(NUMBER_WORDS)[:10]])
_RATIO = re.compile(rf"(?<![\w.])({_NUMBER})\s*(?::|to|/|-)\s*({_NUMBER})(?![\w.])")
_STOP = re.compile(r"[.;?!](?:\s|$)")
_BELOW_NOTHING = re.compile(r"(?:^|\s)(?:[-−]|minus )(?=\d)")
_PER = re.compile(r"\b(?:per|each|every|to the|to a|to each|to one|in a|in each|for a|for each|for every) $")
# before a unit that is not one of it: "how many cups of", "2 quarts of"
_COUNTED = re.compile(r"(?:\b(?:many|much|few|several|in|to|into)|\d) $")


class Amount(NamedTuple):
    """A figure with its unit: a name of `units.FACTORS`, or `PART`. Text at start:end."""

    figure: Span
    unit: str
    start: int
    end: int

    @property
    def grams(self) -> Span:
        """Of a weight, in g. Raises ValueError for a volume."""
        return Span(convert(self.figure.lo, self.unit, "g"), convert(self.figure.hi, self.unit, "g"))


class Named(NamedTuple):
    """A thing that is named at start:end."""

    thing: str
    start: int
    end: int


class Amounts(NamedTuple):
    """What was told: amounts by thing, and those that are of none of the things looked for."""

    of: Mapping[str, tuple[Amount, ...]]
    others: tuple[Amount, ...]

    def one(self, thing: str) -> Amount | None:
        """The amount of a thing that was told once."""
        told = self.of.get(thing, ())
        return told[0] if len(told) == 1 else None


def mentions(plain: str, words: Mapping[str, Iterable[str]]) -> list[Named]:
    """Where the things are named, by their words; a longer name wins over a shorter one inside it."""
    found = [
        Named(thing, m.start(), m.end())
        for thing, names in words.items()
        for m in _any_of(tuple(names)).finditer(plain)
    ]
    found.sort(key=lambda each: (each.start - each.end, each.start))
    kept: list[Named] = []
    for each in found:
        if not any(each.start < other.end and other.start < each.end for other in kept):
            kept.append(each)
    return sorted(kept, key=lambda each: each.start)


def has_any(plain: str, words: Iterable[str]) -> bool:
    """Whether one of the words or short phrases stands in the text."""
    return bool(_any_of(tuple(words)).search(plain))


@cache
def _any_of(words: tuple[str, ...]) -> re.Pattern[str]:
    longest = sorted(words, key=len, reverse=True)
    either = "|".join(
        re.escape(word.removesuffix("*")) + (r"\w*" if word.endswith("*") else "(?:e?s)?") for word in longest
    )
    return re.compile(rf"(?<![\w-])(?:{either})(?!\w)" if words else r"(?!)")


def names_a_measure(knowledge: Knowledge, plain: str) -> bool:
    """Whether a unit, a kind of salt or a pantry food is named: "and in ounces?", "and brown sugar?"."""
    words = [word for id_, each in knowledge.concepts.items() if id_.startswith(("pantry-", "salt-")) for word in each]
    return has_any(plain, words) or any(word in measure_words() for word in plain.rstrip("?").split())


def below_nothing(plain: str) -> bool:
    """Whether a number is written with a minus before it, which no amount can have."""
    return bool(_BELOW_NOTHING.search(plain))


def find_amounts(plain: str, words: Mapping[str, Iterable[str]], poured: Iterable[str] = ()) -> Amounts:
    """Every amount of a message, given to the things of `words` it is of. `poured`: things told by volume rather than by weight."""
    things = mentions(plain, words)[:_MOST]
    measured = [*_measured(plain), *_parts(plain, things)][: 2 * _MOST]
    measured.sort(key=lambda each: each.start)
    given = _given(plain, things, measured, frozenset(poured))
    of: dict[str, tuple[Amount, ...]] = {}
    for thing, amount in given:
        of[thing.thing] = (*of.get(thing.thing, ()), amount)
    used = {amount for _, amount in given}
    return Amounts(of, tuple(each for each in measured if each not in used and each.unit != PART))


def in_parts(plain: str, words: Mapping[str, Iterable[str]]) -> dict[str, Amount]:
    """Two things told only by how they stand to one another: "equal parts", "50/50", "2 to 1"; empty when they are not."""
    order = list(dict.fromkeys(each.thing for each in mentions(plain, words)))
    if len(order) != 2:
        return {}
    ratio = _RATIO.search(plain)
    if ratio is not None:
        figures = [_figure(each) for each in ratio.groups()]
    elif _EQUAL.search(plain):
        figures = [Fraction(1), Fraction(1)]
    else:
        return {}
    return {thing: Amount(Span(n, n), PART, 0, 0) for thing, n in zip(order, figures, strict=True)}


def shares(plain: str) -> bool:
    """Whether the per cent of a message are parts of a whole: "50 % vinegar 50 % water"."""
    told = [q for q in find_quantities(plain) if q.kind == "percent"]
    return len(told) == 2 and sum(q.lo for q in told) == 100


def _figure(word: str) -> Fraction:
    return Fraction(NUMBER_WORDS[word]) if word in NUMBER_WORDS else Fraction(word)


def _measured(plain: str) -> Iterator[Amount]:
    for each in find_quantities(plain):
        if each.kind in ("volume", "weight"):
            yield _amount(each)
        elif each.kind == "percent" and shares(plain):
            yield Amount(Span(Fraction(each.lo), Fraction(each.hi)), PART, each.start, each.end)
    yield from _single(plain)


def _amount(quantity: Quantity) -> Amount:
    kind = "mL" if quantity.kind == "volume" else "g"
    low, high = (convert(Fraction(end), kind, quantity.unit) for end in (quantity.lo, quantity.hi))
    return Amount(Span(low, high), quantity.unit, quantity.start, quantity.end)


def _single(plain: str) -> Iterator[Amount]:
    """ "Per quart", "to a litre", "quart of water": one of a unit, without a number."""
    told = [(each.start, each.end) for each in find_quantities(plain)]
    for match in re.finditer(r"[a-z]+", plain):
        unit = measure_words().get(match.group())
        if unit is None or any(start < match.end() and match.start() < end for start, end in told):
            continue
        before = _PER.search(plain, 0, match.start())
        alone = plain.startswith(" of ", match.end()) and not _COUNTED.search(plain, 0, match.start())
        if before or alone:
            yield Amount(exactly(1), unit, before.start() if before else match.start(), match.end())


@cache
def measure_words() -> Mapping[str, str]:
    """Words for units of volume and weight -> the name of the unit."""
    return {
        w: name
        for w, (kind, name, _) in UNITS.items()
        if kind in ("volume", "weight") and name in (*FACTORS["volume"], *FACTORS["mass"])
    }


def _parts(plain: str, things: list[Named]) -> Iterator[Amount]:
    """ "Half vinegar", "2 parts water", "1/2 vinegar": numbers that have no unit and stand before a thing."""
    t = Tokens(plain)
    for i in range(t.count):
        n = read_number(t, i)
        if n is None or t.words[n.after] in _NO_PART or (i and t.words[i - 1] in ("/", "-") and t.glued(i)):
            continue
        named = t.words[n.after] in _PARTS
        if n.form == "article" and not named:
            continue
        end = t.ends[n.after - 1 + named]
        follows = any(0 <= each.start - end <= 12 and not _between(plain, end, each.start) for each in things)
        if named or (follows and n.hi <= 20):
            yield Amount(Span(n.lo, n.hi), PART, t.starts[i], end)


def _between(plain: str, start: int, end: int) -> bool:
    """Whether a number, a unit or a stop lies between."""
    words = Tokens(plain[start:end]).words
    return any(w and (w[0].isdigit() or w in measure_words() or w in ".,;%") for w in words)


def _given(
    plain: str, things: list[Named], measured: list[Amount], poured: frozenset[str]
) -> list[tuple[Named, Amount]]:
    """Which number is of which thing: as many as can be, each as near as can be, and none of two things."""
    cost = {
        (n, k): _cost(plain, thing, amount, things, measured, poured)
        for n, thing in enumerate(things)
        for k, amount in enumerate(measured)
    }

    def best(n: int, free: frozenset[int]) -> tuple[int, int, list[tuple[Named, Amount]]]:
        if n == len(things):
            return 0, 0, []
        lonely, far, pairs = best(n + 1, free)
        found = (lonely + 1, far, pairs)
        for k in free:
            if cost[n, k] <= _FAR:
                lonely, far, pairs = best(n + 1, free - {k})
                found = min(
                    found, (lonely, far + cost[n, k], [(things[n], measured[k]), *pairs]), key=lambda each: each[:2]
                )
        return found

    return best(0, frozenset(range(len(measured))))[2]


def _cost(
    plain: str, thing: Named, amount: Amount, things: list[Named], measured: list[Amount], poured: frozenset[str]
) -> int:
    before = amount.end <= thing.start
    start, end = (amount.end, thing.start) if before else (thing.end, amount.start)
    between = plain[start:end]
    if start > end or _STOP.search(between):
        return _FAR + 1
    starts = [*(each.start for each in things if each != thing), *(each.start for each in measured if each != amount)]
    others = sum(start <= each < end for each in starts)
    odd = thing.thing in poured and amount.unit in FACTORS["mass"]
    return len(between) + _ACROSS * others + _COMMA * between.count(",") + _ODD * odd + _BEHIND * (not before)
