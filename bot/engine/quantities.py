"""Numbers with their units in free text, and how many jars or lids are spoken of.

Text is expected lower case and NFKC-normalised. A quantity is an interval, for people say "10-15", "about 10";
what rests on it takes the worse end. What could be something else (a clock time, a date, "2nd", "4 of 9") is left out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

# ---- numbers --------------------------------------------------------------------------------------------------------

_TOKEN = re.compile(
    r"[0-9]{1,2}:[0-9]{2}(?![0-9:])"  # a clock time
    r"|([0-9]+(?:[.,:/][0-9]+){2,}|[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}|[0-9]+:[0-9]+)"  # versions, dates, ratios: no number
    r"|[0-9]+/[0-9]+|[0-9]+(?:[.,][0-9]+)?|(?<!\S)\.[0-9]+"
    r"|[¼½¾⅐-⅞]|[^\W\d_¼½¾⅐-⅞]+(?:'[^\W\d_]+)*|\S"
)
_PADDING = ("",) * 12  # looking a few tokens past either end finds "" instead of failing


def word_list(text: str) -> list[str]:
    """The words of a text, in order."""
    return text.split()


def word_set(text: str) -> frozenset[str]:
    """The words of a text, as a set."""
    return frozenset(text.split())


_ONES = "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen"
NUMBER_WORDS = {word: n for n, word in enumerate(word_list(f"{_ONES} eighteen nineteen"), 1)}
TENS = {w: 10 * n for n, w in enumerate(word_list("twenty thirty forty fifty sixty seventy eighty ninety"), 2)}
_MANY = {"dozen": 12, "hundred": 100, "thousand": 1000}
LOOSE_NUMBERS = {"couple": (2, 2), "few": (2, 5), "several": (3, 7)}
SHARES = {"half": 2, "quarter": 4, "quarters": 4, "third": 3, "thirds": 3, "eighth": 8, "eighths": 8}
GLYPHS = {
    "¼": (1, 4), "½": (1, 2), "¾": (3, 4), "⅓": (1, 3), "⅔": (2, 3), "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8),
}  # fmt: skip
_DENOMINATORS = frozenset({2, 3, 4, 5, 6, 8, 16})


class Tokens:
    """Words, numbers and marks of a text with their character positions; "#" stands for what only looks like a number.

    `words` ends in padding; `count` is without it.
    """

    __slots__ = ("count", "ends", "starts", "words")

    def __init__(self, text: str) -> None:
        self.words: list[str] = []
        self.starts: list[int] = []
        self.ends: list[int] = []
        for match in _TOKEN.finditer(text):
            self.words.append("#" if match.lastindex else match.group())
            self.starts.append(match.start())
            self.ends.append(match.end())
        self.count = len(self.words)
        self.words.extend(_PADDING)

    def glued(self, i: int) -> bool:
        """True when token i follows the one before it without a space."""
        return 0 < i < self.count and self.starts[i] == self.ends[i - 1]

    def near(self, first: int, last: int, wanted: frozenset[str]) -> bool:
        """True when one of the wanted words is among tokens first to last - 1; these may lie outside the text."""
        return not wanted.isdisjoint(self.words[max(first, 0) : max(last, 0)])


class Number(NamedTuple):
    """A number before its unit, lo <= hi. `after` is the token behind it. `loose`: "a couple", "a few"."""

    lo: Fraction
    hi: Fraction
    after: int
    form: str  # digits, words, article ("an"), share ("half a", "three quarters of a": nothing without a unit)
    loose: bool = False

    @property
    def counts(self) -> bool:
        """True for a plain whole number below a thousand."""
        exact = self.lo is self.hi or self.lo == self.hi
        return (
            exact
            and self.lo.denominator == 1
            and self.lo.numerator < 1000
            and self.form != "article"
            and not self.loose
        )


def plain_number(token: str) -> Fraction | None:
    """The value of a number in digits, at most nine characters of it: "5,200", "1,5", "3/4"; None where it is none."""
    if len(token) > 9:  # nobody measures that, and reading very long numbers is slow
        return None
    if token.isdigit():
        return Fraction(int(token))
    if "/" in token:
        top, _, bottom = token.partition("/")
        if int(bottom) not in _DENOMINATORS:
            return None
        # Normalising turns "1½" into "11/2": the whole part is split off again. Kitchens write no improper fractions.
        cut = next((k for k in range(len(top)) if 0 < int(top[k:]) < int(bottom)), None)
        return None if cut is None else int(top[:cut] or 0) + Fraction(int(top[cut:]), int(bottom))
    whole, comma, rest = token.partition(",")
    if comma and len(rest) == 3 and len(whole) <= 3 and whole != "0":
        return Fraction(int(whole + rest))
    whole, _, rest = token.replace(",", ".").partition(".")
    return Fraction(int(whole + rest), 10 ** len(rest)) if whole + rest else None


def fraction_of_one(t: Tokens, j: int) -> tuple[Fraction, int] | None:
    """The fraction that follows a whole number at token j: "1/2", "-1/2", "½", "and a half", "and three quarters"."""
    joined = t.words[j] in ("and", "&")
    k = j + 1 if joined or (t.words[j] == "-" and t.glued(j) and t.glued(j + 1)) else j
    word = t.words[k]
    if word in GLYPHS:
        return Fraction(*GLYPHS[word]), k + 1
    if "/" in word and word[0] in "123456789":
        value = plain_number(word)
        return (value, k + 1) if value is not None and value < 1 else None
    if joined:
        top = NUMBER_WORDS.get(word, 1)
        k += word in NUMBER_WORDS or word in ("a", "an")
        if top < SHARES.get(t.words[k], 0):
            return Fraction(top, SHARES[t.words[k]]), k + 1
    return None


def _share(t: Tokens, value: Fraction, j: int) -> Number:
    """A part of the unit that follows at token j; the "of a" of "three quarters of an inch" is stepped over."""
    j += t.words[j] == "of"
    j += t.words[j] in ("a", "an")
    if t.words[j] == "dozen":
        return Number(value * 12, value * 12, j + 1, "words")
    return Number(value, value, j, "share")


def _larger(t: Tokens, j: int, value: Fraction, form: str, limit: int) -> Number:
    """A whole number together with what follows it at token j: a fraction, a dozen, hundreds, thousands, quarters."""
    word = t.words[j]
    if word in SHARES and word != "half" and value < SHARES[word] and (form == "words" or word.endswith("s")):
        return _share(t, value / SHARES[word], j + 1)
    size = _MANY.get(word, 1000 if word == "k" and t.glued(j) else limit)
    if size < limit:
        value, j = value * size, j + 1
        more = read_number(t, j + (t.words[j] == "and"), size) if form == "words" and size > 12 else None
        if more and more.form == "words" and more.hi < size and not more.loose:
            value, j = value + more.lo, more.after
    elif value.denominator == 1 and (found := fraction_of_one(t, j)):
        value, j = value + found[0], found[1]
    return Number(value, value, j, form)


def read_number(t: Tokens, i: int, limit: int = 1_000_000) -> Number | None:
    """The number that begins at token i, or None: digits, fractions, number words, "a", "half a", "a couple of".

    Hundreds and thousands are taken in only below the limit.
    """
    word = t.words[i]
    if not word:
        return None
    if word[0] in "0123456789" or (word[0] == "." and len(word) > 1):
        if (t.glued(i) and t.words[i - 1][-1].isalpha()) or ":" in word:
            return None
        value = plain_number(word)
        return None if value is None else _larger(t, i + 1, value, "digits", limit)
    if word in NUMBER_WORDS:
        return _larger(t, i + 1, Fraction(NUMBER_WORDS[word]), "words", limit)
    if word in TENS:
        k = i + 1 + (t.words[i + 1] == "-")
        ones = NUMBER_WORDS.get(t.words[k], 10)
        return _larger(t, k + 1 if ones < 10 else i + 1, Fraction(TENS[word] + ones % 10), "words", limit)
    if word in GLYPHS:
        return Number(Fraction(*GLYPHS[word]), Fraction(*GLYPHS[word]), i + 1, "digits")
    article = word in ("a", "an")
    word, after = t.words[i + article], i + article + 1
    if word in LOOSE_NUMBERS:
        lo, hi = LOOSE_NUMBERS[word]
        return Number(Fraction(lo), Fraction(hi), after + (t.words[after] == "of"), "words", True)
    if word in _MANY and (article or word == "dozen"):
        return _larger(t, after - 1, Fraction(1), "words", limit)
    if word in SHARES and (article or word in ("half", "quarter")):
        return _share(t, Fraction(1, SHARES[word]), after)
    return Number(Fraction(1), Fraction(1), i + 1, "article") if article else None


# ---- units ----------------------------------------------------------------------------------------------------------


class Unit(NamedTuple):
    """A unit found in the text. `size` is in the unit of its kind (see `Quantity`); `after` is the token behind it."""

    kind: str
    name: str
    size: Fraction
    after: int


_GALLON = Fraction(3785411784, 1_000_000)  # US, in mL, exactly
_POUND = Fraction(45359237, 100_000)
_UNIT_ROWS: tuple[tuple[str, str, Fraction | int, str], ...] = (
    ("minutes", "s", Fraction(1, 60), "sec secs second seconds"),
    ("minutes", "min", 1, "min mins minute minutes"),
    ("hours", "h", 1, "h hr hrs hour hours"),
    ("days", "day", 1, "day days night nights"),
    ("days", "week", 7, "week weeks wk wks"),
    ("days", "fortnight", 14, "fortnight fortnights"),
    ("days", "month", 30, "month months mth mths"),
    ("days", "year", 365, "year years yr yrs"),
    ("temperature", "°F", 1, "f fahrenheit farenheit"),
    ("temperature", "°C", 1, "c celsius celcius centigrade"),
    ("temperature-unknown", "°", 1, "degree degrees deg degs ° º ˚ \u030a"),
    ("length", "in", 1, 'in inch inches " ″ ”'),
    ("length", "cm", Fraction(50, 127), "cm cms centimetre centimetres centimeter centimeters"),
    ("length", "mm", Fraction(5, 127), "mm mms millimetre millimetres millimeter millimeters"),
    ("altitude", "ft", 1, "ft feet foot"),
    ("altitude", "m", Fraction(1250, 381), "m metre metres meter meters"),
    ("altitude", "km", Fraction(1250_000, 381), "km kms"),
    ("percent", "%", 1, "% percent pct"),
    ("volume", "tsp", _GALLON / 768, "tsp tsps teaspoon teaspoons"),
    ("volume", "tbsp", _GALLON / 256, "tbsp tbsps tbs tblsp tablespoon tablespoons"),
    ("volume", "cup", _GALLON / 16, "cup cups"),
    ("volume", "pint", _GALLON / 8, "pint pints pt pts"),
    ("volume", "quart", _GALLON / 4, "quart quarts qt qts"),
    ("volume", "gallon", _GALLON, "gallon gallons gal gals"),
    ("volume", "mL", 1, "ml mls cc millilitre millilitres milliliter milliliters"),
    ("volume", "L", 1000, "l litre litres liter liters ltr ltrs"),
    ("weight", "g", 1, "g gm gms gram grams gramme grammes"),
    ("weight", "kg", 1000, "kg kgs kilo kilos kilogram kilograms"),
    ("weight", "oz", _POUND / 16, "oz ozs ounce ounces"),
    ("weight", "lb", _POUND, "lb lbs pound pounds"),
    ("pressure", "psi", 1, "psi kpa"),
)
UNITS = {word: (kind, name, Fraction(size)) for kind, name, size, words in _UNIT_ROWS for word in words.split()}
SMALLER = {"h": ("min", Fraction(1, 60)), "lb": ("oz", _POUND / 16)}  # "1 hour 20 minutes", "3 lb 4 oz"
DURATIONS = frozenset({"minutes", "hours", "days"})

STOPS = frozenset(".!?;,()")
_BETWEEN = word_set("full whole solid more extra level heaped heaping scant good long odd ish")
_HEIGHT = word_set("altitude elevation elev asl above sea up high height live lives living mountain mountains hills")
HEAT = word_set("thermometer thermometers thermo probe temp temps temperature degrees degree deg")
_WARMTH = HEAT | word_set("at to room warm cool hot cold below above under over around kept heated reached")
_INCH_NEXT = word_set(". , ; ! ? ) headspace head gap of from below down above over deep left space short too") | {""}
_NO_INCH_NEXT = word_set("the a an my each it there every one this that our all them")
_LIQUID_NEXT = word_set("of each per")
_PRESSING = word_set("pressure weight gauge weighted")


def unit_at(t: Tokens, j: int, n: Number, i: int) -> Unit | None:
    """The unit at token j of the number at tokens i to j - 1, or None. Ambiguous letters are decided by their context.

    "m" is minutes below 50, written together below 200 ("90m"), unless height is spoken of; under 20 feet are a length.
    "in" is inches after a fraction or before something that has a depth; lb "at 10 lb" is a canner's pressure.
    """
    if t.words[j] == "-" and t.glued(j) and t.glued(j + 1):
        j += 1
    if t.words[j] in _BETWEEN and t.words[j + 1] in UNITS:
        j += 1
    word, after = t.words[j], j + 1
    following = t.words[after]
    if word in ("fl", "fluid"):
        k = after + (following == ".")
        return Unit("volume", "fl oz", _GALLON / 128, k + 1) if t.words[k] in ("oz", "ounce", "ounces") else None
    if word == "per":
        return Unit("percent", "%", Fraction(1), after + 1) if following == "cent" else None
    if word in ("oc", "of", "ºc", "ºf") and t.glued(j):  # NFKC turns the ordinal sign, often typed for °, into "o"
        return Unit("temperature", "°" + word[1].upper(), Fraction(1), after)
    if word not in UNITS:
        return None
    kind, name, size = UNITS[word]
    if kind == "temperature-unknown":
        scale = UNITS.get(following, ("", "", size))
        return Unit(*scale, after + 1) if scale[0] == "temperature" else Unit(kind, name, size, after)
    if word == "c" and not _celsius(t, i, j, n):
        kind, name, size = UNITS["cup"]
    elif word == "second" and n.form != "digits" and n.form != "share":  # "one second batch"
        return None
    elif word == "in":
        if following in _NO_INCH_NEXT if n.lo.denominator > 1 else following not in _INCH_NEXT:
            return None
    elif word in '"″”' and (n.hi > 12 or t.words[max(0, j - 40) : j].count(word) % 2):  # the end of something quoted
        return None
    elif kind == "altitude":
        high = t.near(i - 5, after + 4, _HEIGHT)
        if word == "m" and not high and n.hi < (200 if t.glued(j) else 50):
            kind, name, size = UNITS["min"]
        elif name == "km" and not high:
            return None
        elif name != "km" and n.hi < 20:
            kind, size = "length", size * 12
    elif name == "lb" and (following in _PRESSING or (t.words[i - 1] == "at" and n.hi <= 20)):
        kind = "pressure"
    return Unit(kind, name, size, after)


def _celsius(t: Tokens, i: int, j: int, n: Number) -> bool:
    """Whether "c" means Celsius and not cups.

    Cups: fractions, "2 c of", small numbers without a word about warmth. Celsius: above 30; beside "at", "temp"; and
    from 10 up where nothing follows that could be measured ("day 12, 22c").
    """
    if t.words[j + 1] in _LIQUID_NEXT or n.form == "share" or n.lo.denominator not in (1, 2, 5, 10):
        return False
    ends = not t.words[j + 1] or t.words[j + 1] in STOPS
    return n.hi > 30 or t.near(i - 2, i, _WARMTH) or (n.lo >= 10 and ends)


def resolve_temperature(value: Fraction | float) -> str | None:
    """'F', 'C' or None for a kitchen temperature without its scale: 30 to 130 can only be C, 150 to 550 only F."""
    return "C" if 30 <= value <= 130 else "F" if 150 <= value <= 550 else None


# ---- jars and lids --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PartCount:
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


# ---- quantities -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Quantity:
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
