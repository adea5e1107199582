"""Where words that the knowledge lists stand in a message, for figures that must know which number belongs to which name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from bot.engine.knowledge import Knowledge
from bot.engine.quantities import Quantity
from bot.engine.words import Word, plain_words, split, stem


class Place(NamedTuple):
    """Something named, and where: characters `start` to `end` of the normalised text."""

    name: str
    start: int
    end: int


def places(plain: str, entries: Mapping[str, Iterable[str]]) -> list[Place]:
    """Every word or short phrase of the entries (name -> how people call it), in order; of two that overlap the longer one."""
    known = {
        tuple(stem(word) for word in plain_words(text)): name
        for name, texts in entries.items()
        for text in texts
        if "..." not in text
    }
    known.pop((), None)
    words, longest = split(plain), max(map(len, known), default=0)
    found, at = [], 0
    while at < len(words):
        fits = [n for n in range(min(longest, len(words) - at), 0, -1) if _stems(words[at : at + n]) in known]
        if fits:
            run = words[at : at + fits[0]]
            found.append(Place(known[_stems(run)], run[0].start, run[-1].end))
        at += fits[0] if fits else 1
    return found


def concept(knowledge: Knowledge, name: str, plain: str) -> list[Place]:
    """Where a concept of knowledge/words is spoken of."""
    return places(plain, {name: knowledge.concepts.get(name, ())})


def gap(one: Place | Quantity, other: Place | Quantity) -> int:
    """Characters between two places; 0 when they touch or overlap."""
    return max(one.start - other.end, other.start - one.end, 0)


def _stems(words: list[Word]) -> tuple[str, ...]:
    return tuple(word.stem for word in words)
