"""Numbers with their units in free text, and how many jars or lids are spoken of.

Text is expected lower case and NFKC-normalised. A quantity is an interval, for people say "10-15", "about 10";
what rests on it takes the worse end. What could be something else (a clock time, a date, "2nd", "4 of 9") is left out.
"""

from fractions import Fraction
from typing import NamedTuple

from bot.engine.numbers import (
    GLYPHS,
    LOOSE_NUMBERS,
    NUMBER_WORDS,
    TENS,
    Number,
    Tokens,
    fraction_of_one,
    plain_number,
    read_number,
    word_list,
    word_set,
)
from bot.engine.part_counts import CONTAINERS, POINTING, PartCount, find_part_counts, jars_after, parts_in
from bot.engine.unit_words import DURATIONS, HEAT, SMALLER, STOPS, UNITS, Unit, resolve_temperature, unit_at

__all__ = [
    "DURATIONS",
    "PartCount",
    "Quantity",
    "find_part_counts",
    "find_quantities",
    "quantities_in",
    "resolve_temperature",
]


class Quantity(NamedTuple):
    """lo <= hi in the unit of the kind; `unit` is the short name of the unit used; text at start:end.

    Kinds: minutes, hours, days (a month is 30, a year 365), temperature in °F, length in inches, altitude in feet,
    percent 0 to 100, volume in mL (US cups, pints, ounces), weight in g. As written: temperature-unknown (no scale was
    said), count (of jars or lids), bare.

    `approx` durations reach 20 % to either side; other kinds are only marked. "under" reaches down to 0 (32 °F), "over"
    up to twice the figure (50 °F more).
    """

    kind: str
    lo: Fraction | float
    hi: Fraction | float
    unit: str
    approx: bool
    start: int
    end: int


_MOST = {"temperature": 600, "percent": 100, "altitude": 30_000}
_STARTS = frozenset(
    [*NUMBER_WORDS, *TENS, *LOOSE_NUMBERS, *GLYPHS, "a", "an", "half", "quarter", "dozen", "hour", "day"]
)
_ABOUT = word_set("about around roughly approx approximately maybe perhaps probably circa ca bout abt ~")
_THINK = word_set("think guess reckon believe suppose")
_AFTER = word_set("about around roughly approx approximately maybe perhaps probably")
_ISH = word_set("ish odd")
_PAUSE = word_set("? , -")
_FILLER = word_set("for at to was only the like by")
_REACHES = word_set("reached reaches reach hit hits reads read reading")
_BOILS = word_set("boil boils boiling boiled heated makes gets got brought")
_STATES, _WATER = word_set("is was shows showed"), word_set("water")
_DIFFERENCE = word_set("above over higher hotter below under lower cooler off out more less past short")
_ALONE_NEXT = word_set("or not instead then i but so only though max tops")
_DAYS_NEAR = word_set("night morning evening eve yesterday yday tonight afternoon past noon midnight")
_CLOCK_NEXT = word_set("am pm o'clock oclock last this yesterday yday tonight")
_YEAR_BEFORE = word_set("in from since of year summer winter spring autumn fall")
MONTHS = tuple(word_list("january february march april may june july august september october november december"))
_MONTH_WORDS = frozenset([*MONTHS, *(m[:3] for m in MONTHS), "sept"]) - {"may", "march", "mar"}


def find_quantities(text: str) -> list[Quantity]:
    """Every quantity of a message, in order; never raises. Part counts, clock times and dates are left out.

    Durations that tell when ("3 hours ago", "5 days old") are among them; `find_moments` gives the spans to set aside.
    """
    return quantities_in(Tokens(text))


def quantities_in(t: Tokens) -> list[Quantity]:
    """`find_quantities` of a text that is cut already."""
    taken = {k for part in parts_in(t) if not part.jars for k in range(part.first, part.after)}
    found: list[Quantity] = []
    i = 0
    while i < t.count:
        word, after = t.words[i], i + 1
        if i not in taken and (word in _STARTS or word[0] in "0123456789."):
            quantity, after = _quantity_at(t, i)
            if quantity:
                found.append(quantity)
        i = max(after, i + 1)
    return found


def _range(t: Tokens, i: int, j: int, floor: Fraction) -> Number | None:
    """The number behind "to", "-", "or" at token j if it is above the floor: "10-15", "3 to 4", "between 8 and 10"."""
    if t.words[j] in ("to", "or", "-", "–", "—") or (t.words[j] == "and" and t.words[i - 1] == "between"):
        more = read_number(t, j + 1)
        if more and more.lo > floor and not more.loose:
            return more
    return None


def _quantity_at(t: Tokens, i: int) -> tuple[Quantity | None, int]:
    """The quantity that begins at token i, if any, and the token to go on from."""
    named_day = t.words[i] == "day"  # "day 12" of a ferment
    if t.words[i] == "hour":  # "hour and a half"
        n: Number | None = Number(Fraction(1), Fraction(1), i, "words")
    else:
        n = read_number(t, i + named_day)
    if n is None or (named_day and (not n.counts or t.words[n.after] in UNITS)):
        return None, i + 1
    if named_day:
        return _finished(t, i, n.after, Unit("days", "day", Fraction(1), n.after), n.lo, n.hi, n.loose), n.after
    share, more = n.form == "share", _range(t, i, n.after, n.hi)
    if more and more.form != "article":
        n = Number(n.lo, more.hi, more.after, more.form, n.loose)
    unit = unit_at(t, n.after, n, i)
    if unit is None:
        return (None, n.after) if share else _unitless(t, i, n)  # "quarter to ten"
    if n.form == "article" and not _article_measures(t, unit):
        return None, i + 1
    if t.words[unit.after] in CONTAINERS and unit.kind in ("volume", "weight"):  # "8 oz jars": a size
        jars = jars_after(t, i, n) if n.form != "article" and n.lo.denominator == 1 else 0
        return (
            _finished(t, i, jars, Unit("count", "jars", Fraction(1), jars), n.lo, n.hi, n.loose) if jars else None
        ), unit.after
    if unit.name == "pint" and n.form == "share" and t.words[i] != "a" and t.words[unit.after] != "of":
        return None, unit.after  # "half pints" are jars
    return _with_more(t, i, n, unit)


def _article_measures(t: Tokens, unit: Unit) -> bool:
    """Whether "a" before a unit is one of it: "an hour", "an inch", "a cup of"; not "wait a minute", "10 g a pint"."""
    following = t.words[unit.after]
    if unit.kind in ("hours", "days") or unit.name == "in":
        return t.words[unit.after - 1] not in ("night", "h")
    if unit.kind == "minutes":
        return following == "or" and unit.name == "min"
    return unit.kind in ("volume", "weight") and following in ("of", "too", "more", "extra", "less")


def _with_more(t: Tokens, i: int, n: Number, unit: Unit) -> tuple[Quantity | None, int]:
    """With what follows the unit: "an inch and a half", "1 hour 20 minutes", "an hour or two"."""
    lo = n.lo if unit.size == 1 else n.lo * unit.size
    hi, j = lo if n.lo is n.hi else n.hi * unit.size, unit.after
    half = fraction_of_one(t, j) if t.words[j] == "and" and n.hi.denominator == 1 else None
    more = read_number(t, j + (t.words[j] == "and")) if unit.name in SMALLER else None
    reach = _range(t, i, j, n.hi)
    if half and t.words[half[1]] not in UNITS:
        lo, hi, j = lo + half[0] * unit.size, hi + half[0] * unit.size, half[1]
    elif t.words[i] == "hour":
        return None, i + 1
    elif more and more.form in ("digits", "words") and not more.loose:
        smaller, (name, size) = unit_at(t, more.after, more, more.after - 1), SMALLER[unit.name]
        if smaller and smaller.name == name and t.words[smaller.after] not in CONTAINERS:
            lo, hi, j = lo + more.lo * size, hi + more.lo * size, smaller.after
    elif (
        unit.name == "h" and t.glued(j) and len(t.words[j]) == 2 and (tail := plain_number(t.words[j]) or 0) < 60
    ):  # "1h30"
        lo, hi, j = lo + Fraction(tail, 60), hi + Fraction(tail, 60), j + 1
    elif reach:
        other = unit_at(t, reach.after, reach, j)
        if other and other.kind == unit.kind:
            hi, j = max(hi, reach.hi * other.size), other.after
        elif other is None and reach.form in ("digits", "words") and not jars_after(t, j + 1, reach):
            hi, j = reach.hi * unit.size, reach.after
    return _finished(t, i, j, unit, lo, hi, n.loose), j


def _finished(t: Tokens, i: int, j: int, unit: Unit, lo: Fraction, hi: Fraction, loose: bool) -> Quantity | None:
    """The quantity of tokens i to j - 1, widened by what stands around it; None for what no kitchen has."""
    first, kind = i, unit.kind
    if kind.startswith("temperature"):
        if t.words[i - 1] in ("-", "−", "minus") and not t.glued(i - 1):
            lo, hi, first = -hi, -lo, i - 1
        if abs(hi) <= 30 and (t.words[j] in _DIFFERENCE or t.words[i - 1] in ("+", "plus", "by")):
            return None  # "8 degrees above" is a difference, not a reading
        if unit.name == "°C":
            lo, hi = lo * 9 / 5 + 32, hi * 9 / 5 + 32
    if kind == "pressure" or (kind in _MOST and hi > _MOST[kind]):
        return None
    bound = _bound(t, first)
    approx = loose or bound != "" or _doubted(t, first, j)
    if bound in ("below", "nearly"):
        floor = min(lo, Fraction(32)) if kind.startswith("temperature") else Fraction(0)
        lo = floor if bound == "below" else min(lo, lo * 4 / 5)
    elif bound:
        hi = hi * 6 / 5 if bound == "just over" else hi + 50 if kind.startswith("temperature") else hi * 2
    elif approx and kind in DURATIONS and (lo == hi or not loose):
        lo, hi = lo * 4 / 5, hi * 6 / 5
    return Quantity(kind, lo, hi, unit.name, approx, t.starts[first], t.ends[j - 1])


def _bound(t: Tokens, i: int) -> str:
    """What the words before token i make of its number: below, nearly, above, just over, or "" for nothing."""
    before, last = t.words[i - 2], t.words[i - 1]
    if i < 1:
        return ""
    if last in ("nearly", "almost"):
        return "nearly"
    below = last in ("under", "below") or (before, last) in (("up", "to"), ("at", "most"))
    above = last in ("over", "above") or (before, last) == ("at", "least")
    if last == "than":
        below, above = before in ("less", "fewer"), before in ("more", "longer", "higher")
        if t.words[i - 3] in ("no", "not", "never"):
            below, above = above, below
    if before == "just":
        return "nearly" if below else "just over" if above else ""
    return "below" if below else "above" if above else ""


def _doubted(t: Tokens, i: int, j: int) -> bool:
    """Whether tokens i to j - 1 are said to be rough: "about 10", "i think it was 10", "10 or so", "10-ish"."""
    if t.near(i, j, _ISH):
        return True
    for k in range(i - 1, max(i - 5, -1), -1):
        word = t.words[k]
        if word in STOPS or word[0].isdigit():
            break
        if (word in _ABOUT and (k == i - 1 or t.words[i - 1] in _FILLER)) or (word in _THINK and t.words[k - 1] == "i"):
            return True
    while t.words[j] in _PAUSE:
        j += 1
    word, following = t.words[j], t.words[j + 1]
    if word in _AFTER:
        return read_number(t, j + 1) is None
    return word == "ish" or (word in ("or", "i") and (following in _THINK or following in ("so", "thereabouts")))


def _unitless(t: Tokens, i: int, n: Number) -> tuple[Quantity | None, int]:
    """A number without a unit: jars, a temperature beside a word about heat, or bare."""
    j, following, previous = n.after, t.words[n.after], t.words[i - 1]
    if n.form in ("share", "article"):
        return None, i + 1
    if jars := jars_after(t, i, n):
        return _finished(t, i, jars, Unit("count", "jars", Fraction(1), jars), n.lo, n.hi, n.loose), jars
    glued = t.glued(j) and following[:1].isalpha() and following != "ish"  # "2nd", "70s", "9pm"
    if n.loose or glued or _clock_or_date(t, i, n):
        return None, j
    kind = "bare"
    if n.hi >= 30 and resolve_temperature(n.hi):
        likely = 85 <= n.hi <= 130 or 150 <= n.hi <= 260
        boils = previous in ("at", "to") and t.near(i - 6, i, _BOILS)
        boils = boils or (previous in _STATES and t.near(i - 4, i, _WATER) and t.near(i - 5, i, _BOILS))
        told = boils or previous in _REACHES or t.near(i - 9, i, HEAT)
        if t.near(i - 5, i, HEAT) or t.near(j, j + 2, HEAT) or (likely and told):
            kind = "temperature-unknown"
    if n.form == "words" and kind == "bare":
        alone = not following or following in STOPS or following in _ALONE_NEXT or following == "ish"
        if not alone or previous in POINTING or (n.hi == 1 and i and previous not in _ABOUT):
            return None, j
    return _finished(t, i, j, Unit(kind, "", Fraction(1), j), n.lo, n.hi, False), j


def _clock_or_date(t: Tokens, i: int, n: Number) -> bool:
    """Whether a number without a unit is a time or a date: "about 9 last night", "9 p.m.", "from 2008", "3 june"."""
    j, word, following = n.after, t.words[i], t.words[n.after]
    back = i - 1 - (t.words[i - 1] in _ABOUT or t.words[i - 1] in ("at", "@", "by"))
    if word[0].isdigit() and "/" in word and word.index("/") > 1:
        return True
    if (
        n.lo.denominator == 1
        and 1900 <= n.lo <= 2100
        and (t.words[i - 1] in _YEAR_BEFORE or t.words[i - 1] in _MONTH_WORDS)
    ):
        return True
    if following in ("a", "p") and t.words[j + 1] == "." and t.words[j + 2] == "m":
        return True
    at = t.words[i - 1] in ("at", "@") and n.hi <= 24
    to = t.words[i - 1] == "to" and t.words[i - 2] == "quarter"
    day = t.words[back] in _DAYS_NEAR or (
        following == "in" and t.words[j + 1] == "the" and t.words[j + 2] in _DAYS_NEAR
    )
    month = t.words[back] in _MONTH_WORDS or following in _MONTH_WORDS
    return at or to or day or month or following in _CLOCK_NEXT
