"""Numbers in free text: digits, fractions, number words, as tokens are read."""

import re
from fractions import Fraction
from typing import NamedTuple

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
