"""A message as words: normalised, contractions opened, cut into sentences and clauses, typing errors corrected.

Everything that reads free text starts here, phrases from the knowledge included, so that both sides of a comparison have
been through the same mill.
"""

import re
import unicodedata
from collections.abc import Callable
from itertools import pairwise
from typing import NamedTuple

MOST_READ = 6000  # characters of a message that are read; nobody describes a jar at greater length

CONTRACTIONS = {
    "wont": "will not", "won't": "will not", "cant": "cannot", "can't": "cannot", "shan't": "shall not",
    "didnt": "did not", "dont": "do not", "doesnt": "does not", "isnt": "is not", "wasnt": "was not",
    "arent": "are not", "werent": "were not", "hasnt": "has not", "havent": "have not", "hadnt": "had not",
    "couldnt": "could not", "wouldnt": "would not", "shouldnt": "should not", "aint": "is not", "ain't": "is not",
    "i'm": "i am", "im": "i am", "it's": "it is", "that's": "that is", "theres": "there is", "there's": "there is",
    "i've": "i have", "ive": "i have", "we've": "we have", "theyre": "they are", "they're": "they are",
    "whats": "what is", "what's": "what is", "dunno": "do not know", "yday": "yesterday", "gonna": "going to",
    "w/": "with", "w/o": "without", "w": "with", "ur": "your", "u": "you", "pls": "please", "bc": "because",
}  # fmt: skip
NEGATORS = frozenset("no not never without none nothing neither nor cannot hardly nobody zero".split())
# A negation stops at these: "no mould but a bulging lid".
_BREAKS = frozenset("but though although however except yet".split())
_WORD = re.compile(r"°?[a-z]+(?:'[a-z]+)*|\d+(?:[.,/]\d+)*|[.!?;\n]+|[,:()-]|[^\s\w]", re.UNICODE)
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\u200b-\u200f\u202a-\u202e\ufeff]")
_SENTENCE_END = frozenset(".!?;\n")


class Word(NamedTuple):
    """One word of a message. `clause` counts up at commas and "but"; `sentence` at full stops. Corrected words may raise a
    danger but never clear one."""

    text: str
    stem: str
    sentence: int
    clause: int
    start: int
    end: int
    corrected: bool = False


def normalise(text: str) -> str:
    """Lower case, one kind of quote, no control characters; at most `MOST_READ` characters."""
    text = unicodedata.normalize("NFKC", text[: MOST_READ * 2]) if not text.isascii() else text
    text = _CONTROL.sub(" ", text).lower().replace("\u2019", "'").replace("\u2018", "'").replace("\u2044", "/")
    return text[:MOST_READ]


def stem(word: str) -> str:
    """The singular, near enough: only used to compare words that went through it on both sides."""
    if len(word) < 4 or word.endswith(("ss", "us", "is")) or not word.endswith("s"):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("shes", "ches", "xes", "sses")):
        return word[:-2]
    if word.endswith("oes"):
        return word[:-2]
    return word[:-1]


def plain_words(text: str) -> list[str]:
    """Words of a phrase or a message with contractions opened, punctuation dropped."""
    return [w.text for w in split(text)]


def split(text: str, correct: Callable[[str], str | None] | None = None) -> list[Word]:
    """Words of an already normalised text. `correct` offers the vocabulary word that a mistyped one stands for, or None."""
    words: list[Word] = []
    sentence = clause = 0
    for match in _WORD.finditer(text):
        token = match.group()
        first = token[0]
        if first in _SENTENCE_END:
            sentence += 1
            clause += 1
            continue
        if first in ",:()-":
            if first != "-":
                clause += 1
            continue
        if not (first.isalnum() or first == "°"):
            continue
        if first == "°":
            token = token[1:]
        for part in (CONTRACTIONS.get(token) or _open(token)).split():
            if part in _BREAKS:
                clause += 1
            fixed = correct(part) if correct is not None and part.isalpha() else None
            word = fixed or part
            words.append(Word(word, stem(word), sentence, clause, match.start(), match.end(), fixed is not None))
    return words


def corrected(text: str, correct: Callable[[str], str | None]) -> str:
    """A message in lower case with its typing errors put right, for numbers and what they are of."""
    plain, last = normalise(text), 0
    parts: list[str] = []
    for word in split(plain, correct):
        if word.corrected and word.start >= last:
            parts += [plain[last : word.start], word.text]
            last = word.end
    return "".join([*parts, plain[last:]])


def _open(token: str) -> str:
    if token.endswith("n't"):
        return token[:-3] + " not"
    if "'" in token:
        return token.split("'")[0] if token.endswith("'s") else token.replace("'", "")
    return token


_AFTER_A_CORRECTING_NO = frozenset("i wait sorry actually it they we and but".split())
_SIGHS = frozenset("oh ah argh ugh eek gosh god".split())
_IT, _WAS = frozenset("it they these those".split()), frozenset("was were is are".split())
_IN_MIND = frozenset("think sure believe know say certain convinced remember like recall sound look seem that if really".split())


def negated(words: list[Word], first: int, last: int, own_negation: bool) -> bool:
    """True when words[first:last] stand under a negation in their clause, or one stands between them."""
    if own_negation:
        return False
    ends = (words[first].clause, words[last - 1].clause)  # "lids wiped, nothing changed, sealed" denies no seal
    if any(words[i].text in NEGATORS and words[i].clause in ends for i in range(first, last)):
        return True
    for at in range(first - 1, max(-1, first - 6), -1):
        if words[at].clause != words[first].clause:
            return False
        if words[at].text in ("no", "none", "nothing", "nope") and words[at + 1].text in _AFTER_A_CORRECTING_NO:
            return False  # "no i mean apricot" takes back what came before, not the apricot
        if words[at].text == "no" and at and words[at - 1].text in _SIGHS:
            return False  # "oh no one of my lids is up" denies nothing
        if words[at].text in NEGATORS:
            return not _said_instead(words, at, first)
    return False


def _said_instead(words: list[Word], negator: int, first: int) -> bool:
    """ "Not cucumbers, it was beans": what follows "it was" is said in place of what was denied. Not so in "I do not think it was"."""
    between = [w.text for w in words[negator + 1 : first]]
    again = next((n for n, pair in enumerate(pairwise(between)) if pair[0] in _IT and pair[1] in _WAS), 0)
    return again > 0 and between[0] not in _IN_MIND


class Corrector:
    """Puts typing errors right against the vocabulary of the knowledge.

    A unique nearest word at optimal-string-alignment distance 1 (words of 4 to 7 letters) or 2 (8 and more) is taken; a tie
    is left alone, and so is every ordinary English word: the danger is not the typo but "would" read as "mould".
    """

    def __init__(self, vocabulary: str, stems: str, ordinary: str) -> None:
        self._known = frozenset(vocabulary.split())
        self._stems = frozenset(stems.split())
        self._ordinary_text, self._ordinary = ordinary, frozenset[str]()
        self._by_length: dict[int, list[str]] = {}
        self._asked: dict[str, str | None] = {}

    def __call__(self, word: str) -> str | None:
        if len(word) < 4 or word in self._known or stem(word) in self._stems:
            return None
        if self._ordinary_text:  # ten thousand words, taken apart when the first unknown word turns up
            self._ordinary, self._ordinary_text = frozenset(self._ordinary_text.split()), ""
        if word in self._ordinary or stem(word) in self._ordinary:
            return None
        if word not in self._asked:
            if len(self._asked) > 5000:  # bounded, whatever people type
                self._asked.clear()
            singular = stem(word)  # the vocabulary holds most words without their ending: "bubles" is a mistyped "bubble"
            self._asked[word] = self._nearest(word) or (self._nearest(singular) if singular != word and len(singular) >= 4 else None)
        return self._asked[word]

    def _nearest(self, word: str) -> str | None:
        if len(word) > 24:
            return None
        from rapidfuzz.distance import OSA  # loaded only when a word is unknown
        from rapidfuzz.process import extract

        if not self._by_length:
            for known in sorted(self._known):
                if len(known) >= 4:
                    self._by_length.setdefault(len(known), []).append(known)
        limit = 1 if len(word) < 8 else 2
        near = [w for n in range(len(word) - limit, len(word) + limit + 1) for w in self._by_length.get(n, ())]
        found = extract(word, near, scorer=OSA.distance, score_cutoff=limit, limit=6)
        if not found:
            return None
        best = min(distance for _, distance, _ in found)
        nearest = {w for w, distance, _ in found if distance == best}
        same_start = {w for w in nearest if w[0] == word[0]}
        pool = same_start or nearest
        stems = {stem(w) for w in pool}
        return min(pool, key=len) if len(stems) == 1 else None
