"""Finds the phrases of the knowledge in a message: terms in order inside one sentence, a few other words between them.

The pattern language is described in DEVELOPERS.md ("Phrases"). Phrases are indexed by the words they can begin with, so
that a message is compared only with the few that could match, however large the knowledge grows.
"""

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from bot.engine.knowledge import LINE
from bot.engine.words import CONTRACTIONS, NEGATORS, Word, negated, plain_words, stem

GAP, WIDE_GAP = 3, 8
# Words before a phrase that make it a supposition or a question about the future, not a report.
SUPPOSING = frozenset("if whether suppose supposing".split())
DOUBT = frozenset("maybe perhaps probably possibly might think guess reckon unsure seems apparently presumably".split())


class Hit(NamedTuple):
    """A phrase found in a message. words[first:last] is where; `denied` when it stands under a negation."""

    owner: Any
    weight: int
    first: int
    last: int
    denied: bool
    doubtful: bool
    supposed: bool
    sentence: int
    terms: int


class _Term(NamedTuple):
    words: frozenset[str]
    beginnings: tuple[str, ...]
    runs: tuple[tuple[str, ...], ...]
    gap: int  # how many other words may stand before it
    negative: bool


class _Pattern(NamedTuple):
    owner: Any
    weight: int
    terms: tuple[_Term, ...]
    negative: bool


Concepts = Mapping[str, tuple[str, ...]]
Index = dict[str, str]  # where a match can start -> numbers of phrases
Made = dict[tuple[str, int], tuple[_Term, ...]]  # pieces of phrases taken apart already, by their text and gap


def _alternatives(entries: Iterable[str]) -> tuple[set[str], set[str], set[tuple[str, ...]]]:
    words: set[str] = set()
    beginnings: set[str] = set()
    runs: set[tuple[str, ...]] = set()
    for entry in entries:
        entry = entry.strip().lower()
        if entry.endswith("*") and " " not in entry:
            beginnings.add(entry[:-1])
            continue
        if entry.isascii() and entry.isalpha() and entry not in CONTRACTIONS:
            words.add(stem(entry))  # one plain word, as most are
            continue
        parts = [stem(p) for p in plain_words(entry)]
        if len(parts) == 1:
            words.add(parts[0])
        elif parts:
            runs.add(tuple(parts))
    return words, beginnings, runs


def _compile(text: str, weight: int, owner: Any, concepts: Concepts, made: Made) -> _Pattern:
    terms: list[_Term] = []
    gap = GAP
    for piece in text.lower().split():
        if piece == "...":
            gap = WIDE_GAP
            continue
        if (piece, gap) not in made:
            made[piece, gap] = _terms(piece, gap, concepts)
        terms += made[piece, gap]
        gap = GAP
    return _Pattern(owner, weight, tuple(terms), any(t.negative for t in terms))


def _terms(piece: str, gap: int, concepts: Concepts) -> tuple[_Term, ...]:
    if piece.startswith("<") and piece.endswith(">"):
        entries: Iterable[str] = concepts.get(piece[1:-1], ())
    elif "<" in piece:
        entries = [e for p in piece.split("/") for e in (concepts.get(p[1:-1], ()) if p.startswith("<") else (p,))]
    elif "/" in piece and not piece[0].isdigit():
        entries = piece.split("/")
    else:
        entries = (piece,)
    words, beginnings, runs = _alternatives(entries)
    if len(runs) == 1 and not words and not beginnings and not piece.startswith("<"):
        # a contraction or hyphenated word opens into several plain terms
        (run,) = runs
        return tuple(_Term(frozenset({part}), (), (), gap if part == run[0] else 0, part in NEGATORS) for part in run)
    if not (words or beginnings or runs):
        return ()
    negative = bool(words & NEGATORS)
    return (_Term(frozenset(words), tuple(sorted(beginnings)), tuple(sorted(runs, key=len, reverse=True)), gap, negative),)


class PhraseBook:
    """All phrases of the knowledge, each with an owner (whatever the caller wants back when it is found).

    It is built from a lexicon (engine/lexicon.py): an index made once, when the knowledge is compiled. A phrase is taken apart
    only when a message holds a word that it can begin with.
    """

    def __init__(self, lexicon: Mapping[str, Any], concepts: Mapping[str, tuple[str, ...]]) -> None:
        self._concepts = concepts
        self._rows: list[str] = str(lexicon["rows"]).split(LINE)
        self._by_word = read_index(lexicon["words"])
        self._by_beginning = read_index(lexicon["beginnings"])
        self._patterns: dict[int, _Pattern] = {}
        self._made: Made = {}

    def _pattern(self, number: int) -> _Pattern:
        found = self._patterns.get(number)
        if found is None:
            found = self._patterns[number] = read_row(self._rows[number], self._concepts, self._made)
        return found

    def find(self, words: list[Word]) -> list[Hit]:
        """Every phrase found, in the order of the message."""
        hits: list[Hit] = []
        for at, word in enumerate(words):
            candidates = _numbers(self._by_word, word.stem)
            for n in range(2, min(len(word.text), 12) + 1):
                if word.text[:n] in self._by_beginning:
                    candidates += _numbers(self._by_beginning, word.text[:n])
            for number in candidates:
                pattern = self._pattern(number)
                last = _match(words, at, pattern.terms, 0, pattern.negative)
                if last:
                    hits.append(_hit(words, at, last, pattern))
        return hits


def row_of(owner: tuple[str, ...], text: str, weight: int = 2, close: bool = False) -> str:
    """A phrase as one line of the lexicon; `close` lets no other word stand between its terms (names)."""
    kind, name, answer = (*owner, "")[:3]
    return " ".join((kind, name, answer, str(weight), "close" if close else "", text.replace(LINE, " ")))


def read_row(row: str, concepts: Concepts, made: Made) -> _Pattern:
    """The phrase of one line. A phrase without any word matches nothing."""
    kind, name, answer, weight, close, text = row.split(" ", 5)
    pattern = _compile(text, int(weight), (kind, name, answer) if answer else (kind, name), concepts, made)
    return pattern._replace(terms=tuple(t._replace(gap=0) for t in pattern.terms)) if close else pattern


def index_of(numbers: Mapping[str, list[int]]) -> list[str]:
    """An index as two texts, which load in a fraction of the time that thousands of small lists take."""
    return [" ".join(numbers), ",".join(" ".join(map(str, each)) for each in numbers.values())]


def read_index(index: list[str]) -> Index:
    """The index again, each entry still a text."""
    words, numbers = index
    return dict(zip(words.split(" "), numbers.split(","), strict=True))


def _numbers(index: Index, word: str) -> list[int]:
    return [int(number) for number in index[word].split(" ")] if word in index else []


def beginnings_of(pattern: _Pattern) -> tuple[set[str], set[str]]:
    """Words, and beginnings of words, with which a match can start."""
    if not pattern.terms:
        return set(), set()
    first = pattern.terms[0]
    return {*first.words, *(run[0] for run in first.runs)}, set(first.beginnings)


def words_of(pattern: _Pattern) -> set[str]:
    """Every word a phrase knows: typing errors are put right against these."""
    return {w for t in pattern.terms for w in (*t.words, *(b for b in t.beginnings if len(b) > 3), *(x for r in t.runs for x in r))}


def _hit(words: list[Word], first: int, last: int, pattern: _Pattern) -> Hit:
    before = words[max(0, first - 5) : first]
    same = [w for w in before if w.sentence == words[first].sentence]
    nearby = [w.text for w in words[max(0, first - 4) : last + 2] if w.sentence == words[first].sentence]
    doubtful = any(w in DOUBT for w in nearby) or ("not" in nearby and "sure" in nearby)
    between = {words[i].text for i in range(first, last)}
    return Hit(
        pattern.owner,
        pattern.weight,
        first,
        last,
        negated(words, first, last, pattern.negative),
        doubtful,
        any(w.text in SUPPOSING for w in same) or bool(between & SUPPOSING),
        words[first].sentence,
        len(pattern.terms),
    )


def _at(words: list[Word], at: int, term: _Term) -> int:
    """How many words the term takes at this place, 0 if it does not fit."""
    word = words[at]
    for run in term.runs:
        end = at + len(run)
        if end <= len(words) and all(words[at + i].stem == part for i, part in enumerate(run)):
            return len(run)
    if word.stem in term.words or word.text in term.words:
        return 1
    return 1 if term.beginnings and word.text.startswith(term.beginnings) else 0


def _match(words: list[Word], at: int, terms: tuple[_Term, ...], k: int, one_clause: bool) -> int:
    """Index just past the last matched word, or 0. A phrase with a negation does not reach over a comma: "not fuzz, seal tight"."""
    taken = _at(words, at, terms[k])
    if not taken:
        return 0
    end = at + taken
    if k + 1 == len(terms):
        return end
    term, here = terms[k + 1], words[at]
    one_word = not term.runs and not term.beginnings
    for nxt in range(end, min(end + term.gap + 1, len(words))):
        word = words[nxt]
        if word.sentence != here.sentence or (one_clause and word.clause != here.clause):
            break
        if one_word and word.stem not in term.words and word.text not in term.words:
            continue  # most words are none of it: no need to look closer
        last = _match(words, nxt, terms, k + 1, one_clause)
        if last:
            return last
    return 0
