"""How many jars or lids are spoken of, and of how many."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from bot.engine.numbers import NUMBER_WORDS, TENS, Number, Tokens, read_number, word_set
from bot.engine.unit_words import DURATIONS, UNITS, unit_at


class PartCount(NamedTuple):
    """So many jars, of so many if that was said: 0 <= part <= whole; text at start:end. `rest`: "the other five"."""

    part: int
    whole: int | None
    start: int
    end: int
    rest: bool = False


class Part(NamedTuple):
    """A part count with its tokens."""

    jars_told: PartCount
    first: int
    after: int
    jars: bool  # plainly "3 lids": also a quantity


_PART_STARTS = frozenset([*NUMBER_WORDS, *TENS, "dozen", "other", "remaining", "all", "none"])
CONTAINERS = word_set("jar jars lid lids bottle bottles seals cap caps disc discs")
_SIZES = word_set("pint pints gallon gallons")
_NO_ADJECTIVE = word_set(
    "in of the for and to my our on at or with out was were is are not from per a an i it its by all under over so but "
    "this"
)
_OWNERS = word_set("my the our these those her his their your all last")
_JAR_TALK = CONTAINERS | word_set(
    "seal sealed sealing pop popped popping pinged down up open opened leaked leaking cracked broke broken bulging bent"
)
_DID = word_set(
    "sealed didn't didnt did haven't havent hasn't hasnt never failed popped unsealed leaked cracked broke came"
)
POINTING = word_set("this that which each every another no jar day first last")


def _container(t: Tokens, j: int) -> int:
    """The token behind "jars", "half pint jars", "wide mouth jars" at token j; 0 when there are none."""
    for k in range(j, min(j + 3, t.count)):
        word = t.words[k]
        if word in CONTAINERS:
            return k + 1
        if word == "half":
            k += 1 + (t.words[k + 1] == "-")
            if t.words[k] in _SIZES:
                return _container(t, k + 1) or k + 1
        if not word.isalpha() or word in _NO_ADJECTIVE or UNITS.get(word, ("",))[0] in DURATIONS:
            break
    return 0


def jars_after(t: Tokens, i: int, n: Number) -> int:
    """The token behind the jars that the number at token i counts, or 0. "8 oz jars" is a size, not a count."""
    unit = unit_at(t, n.after, n, i)
    if unit is None:
        return _container(t, n.after)
    return unit.after + 1 if unit.name in ("pint", "quart") and t.words[unit.after] in CONTAINERS else 0


def _measures(t: Tokens, i: int, n: Number) -> bool:
    """Whether the number at token i has a unit; pints and quarts do not count, they are jars of that size."""
    unit = unit_at(t, n.after, n, i)
    return unit is not None and unit.name not in ("pint", "quart")


def _part_at(t: Tokens, i: int) -> Part | None:
    first, word = i, t.words[i]
    if "/" in word and word[0] in "123456789":
        return _slashed(t, i)
    rest, whole = word in ("other", "remaining"), None
    if rest or word == "all":
        i += 1 + (t.words[i + 1] == "of")
        i += t.words[i] in _OWNERS
    if t.words[i] == "none":
        n: Number | None = Number(Fraction(0), Fraction(0), i + 1, "words")
    else:
        n = None if t.words[i] in ("a", "an") else read_number(t, i)
    if n is None or not n.counts:
        return None
    part, after, plain = int(n.lo), n.after, False
    if rest or word == "all":
        if _measures(t, i, n):
            return None
        whole = None if rest else part
        after = jars_after(t, i, n) or after
    elif t.words[after] == "of" or (t.words[after] == "out" and t.words[after + 1] == "of"):
        k = after = after + (t.words[after] == "out") + 1
        while t.words[k] in _OWNERS:
            k += 1
        total = read_number(t, k)
        if total and total.counts and part <= total.lo and not _measures(t, k, total):
            whole, after = int(total.lo), jars_after(t, k, total) or total.after
        elif part and (t.words[after] == "them" or (k > after and t.near(k, k + 7, _JAR_TALK))):
            after = k + (t.words[k] == "them")
        else:
            return None
    elif part and (jars := jars_after(t, i, n)):
        after, plain = jars, True
    elif not part or t.words[after] not in _DID or (part == 1 and t.words[i - 1] in POINTING):
        return None
    return Part(PartCount(part, whole, t.starts[first], t.ends[after - 1], rest), first, after, plain)


def _slashed(t: Tokens, i: int) -> Part | None:
    """ "4/6 sealed", "5/7 jars": a share of the jars, where it cannot be a fraction of one."""
    top, _, bottom = t.words[i].partition("/")
    jars = _container(t, i + 1) if len(bottom) < 4 and bottom.isdigit() and int(bottom) > 4 else 0
    if len(t.words[i]) > 7 or not bottom.isdigit() or int(top) > int(bottom) or not (jars or t.words[i + 1] in _DID):
        return None
    after = jars or i + 1
    return Part(PartCount(int(top), int(bottom), t.starts[i], t.ends[after - 1]), i, after, False)


def parts_in(t: Tokens) -> Iterator[Part]:
    """The part counts of a text that is cut already."""
    i = 0
    while i < t.count:
        word = t.words[i]
        found = _part_at(t, i) if word in _PART_STARTS or word[0] in "0123456789" else None
        if found:
            yield found
        i = found.after if found else i + 1


def find_part_counts(text: str) -> list[PartCount]:
    """Every "3 lids", "one of my six", "2 out of 7", "all six" (6 of 6), "the other five", "two didn't seal"."""
    return [found.jars_told for found in parts_in(Tokens(text))]
