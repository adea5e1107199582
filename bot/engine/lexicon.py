"""The index of all phrases: made once, when the knowledge is compiled, so that starting costs no more with more knowledge."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from bot.engine.knowledge import LINE, Knowledge
from bot.engine.phrases import Made, beginnings_of, index_of, read_row, row_of, words_of
from bot.engine.words import normalise, split, stem

TALK = (
    "say-help", "say-start", "say-start-over", "say-undo", "say-why-asked", "say-why", "say-kitchen", "say-forget",
    "say-stop", "say-thanks",
)  # fmt: skip
CUES = ("cant-say", "yes", "no", "correcting", "the-rest", "that-one", "hedged", "of-jars", "elsewhere", "neighbour", "long-ago", "own-jars", "not-yet", "not-told", "broke-in-the-heat")
# What a person has done for them while they stand at the stove (engine/orders.py): a book of their own, so that no such words
# count as a sign of anything.
ORDERS = (
    "order-timer", "order-timer-short", "order-stop-timer", "order-timers", "order-clock", "order-ask-later", "order-log-gentle", "order-log-boil",
    "order-log-pressure", "order-log-end", "order-log", "order-boil-stopped", "order-boil-back", "order-boiling",
)  # fmt: skip


def build(knowledge: Knowledge) -> dict[str, Any]:
    """Plain data, fit for JSON: phrases as lines, which lines a word can begin, the vocabulary, the commands, the orders."""
    vocabulary: set[str] = set()
    phrases = _book(list(_rows(knowledge)), knowledge, vocabulary)
    orders = _book(list(_orders(knowledge)), knowledge, vocabulary)
    known = sorted(w for w in vocabulary if w.isalpha())
    return {
        **phrases,
        "orders": orders,
        "vocabulary": " ".join(known),
        "stems": " ".join(sorted({stem(w) for w in known})),
        "commands": _commands(knowledge),
    }


def _book(rows: list[str], knowledge: Knowledge, vocabulary: set[str]) -> dict[str, Any]:
    """Phrases with the words that each can begin with; `vocabulary` gets all their words."""
    words: dict[str, list[int]] = {}
    beginnings: dict[str, list[int]] = {}
    made: Made = {}
    for number, row in enumerate(rows):
        pattern = read_row(row, knowledge.concepts, made)
        first, starts = beginnings_of(pattern)
        for word in first:
            words.setdefault(word, []).append(number)
        for start in starts:
            beginnings.setdefault(start, []).append(number)
        vocabulary |= words_of(pattern)
    return {"rows": LINE.join(rows), "words": index_of(words), "beginnings": index_of(beginnings)}


def _orders(knowledge: Knowledge) -> Iterator[str]:
    for order in ORDERS:
        for text in knowledge.concepts.get(order, ()):
            yield row_of(("order", order), text)


def _rows(knowledge: Knowledge) -> Iterator[str]:
    for entry in knowledge.evidence.values():
        for answer in entry.answers.values():
            for phrase in answer.heard_as:
                yield row_of(("answer", entry.id, answer.id), phrase.text, phrase.weight)
            for phrase in answer.answered_as:
                yield row_of(("reply", entry.id, answer.id), phrase.text, phrase.weight)
        for phrase in entry.near:
            yield row_of(("near", entry.id), phrase.text)
    for problem in knowledge.problems.values():
        for phrase in problem.heard_as:
            yield row_of(("problem", problem.id), phrase.text, phrase.weight)
        for phrase in problem.not_heard_as:
            yield row_of(("not-problem", problem.id), phrase.text, phrase.weight)
    for food in knowledge.foods.values():
        for word in food.words:
            yield row_of(("food", food.id), word.replace("-", " "), close="..." not in word)
    for name in knowledge.concepts.get("not-a-food", ()):
        yield row_of(("food", ""), name, close=True)
    for asked in knowledge.asked.values():
        for phrase in asked.heard_as:
            yield row_of(("asked", asked.id), phrase.text, phrase.weight)
    for cue in CUES:
        for text in knowledge.concepts.get(cue, ()):
            yield row_of(("cue", cue), text, close="..." not in text)


def _commands(knowledge: Knowledge) -> dict[str, str]:
    """Whole messages that are commands, as they read after normalising."""
    return {
        " ".join(w.text for w in split(normalise(text))) or text: command
        for command in TALK
        for text in knowledge.concepts.get(command, ())
    }
