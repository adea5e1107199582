"""Every sentence of the questions for figures of acid, salt and measures can be told, and is told in few enough words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

from bot.engine.knowledge import Asked
from bot.engine.texts import MOST_WORDS, count_words
from tests.conversation import engine, talk_of

FILE = Path(__file__).with_name("ways.yaml")
TALKS: dict[str, dict[str, list[str]]] = yaml.load(FILE.read_text("utf-8"), Loader=yaml.BaseLoader)
ALL = [pytest.param(id_, way, says, id=f"{id_}: {way}") for id_, ways in TALKS.items() for way, says in ways.items()]


def entry(id_: str) -> Asked:
    return engine().knowledge.asked[id_]


def sentences(text: str) -> list[str]:
    return re.split(r"(?<=[.!?]) ", text)


def could_be(told: str, text: str) -> bool:
    """Whether a reply is this text with its braces filled; a sentence with braces in it may have been left out."""
    patterns = [".+".join(map(re.escape, re.split(r"\{\w+\}", each))) for each in sentences(text)]
    optional = [f"(?:{p} ?)?" if "{" in each else f"{p} ?" for p, each in zip(patterns, sentences(text), strict=True)]
    return bool(re.fullmatch("".join(optional), told))


@pytest.mark.parametrize(("id_", "way", "says"), ALL)
def test_a_conversation_gets_to_the_sentence(id_: str, way: str, says: list[str]) -> None:
    reply = talk_of(*says).replies[-1]
    told = reply["text"].partition("\nFrom: ")[0].strip()
    text = entry(id_).missing[way.removeprefix("missing ")] if way.startswith("missing ") else entry(id_).ways[way]
    assert could_be(told, text), f"{told!r} is not {text!r}"
    assert "{" not in told and reply["verdict"] is None and reply["question"] is None


@pytest.mark.parametrize(("id_", "way", "says"), ALL)
def test_it_is_short_enough_to_read_at_a_stove(id_: str, way: str, says: list[str]) -> None:
    assert count_words(talk_of(*says).replies[-1]["text"]) <= MOST_WORDS


@pytest.mark.parametrize("id_", TALKS)
def test_each_sentence_of_the_knowledge_has_a_conversation(id_: str) -> None:
    assert set(TALKS[id_]) == {*entry(id_).ways, *(f"missing {each}" for each in entry(id_).missing)}


def test_all_such_questions_are_here() -> None:
    others = {"gel-point", "boiling-point", "process-time", "remake"}
    modules = {"acid", "strength", "salt", "salt_kinds", "firming", "measures", "degrees", "cups"}
    from bot.engine.figures import FIGURES

    mine = {name for name, (module, _) in FIGURES.items() if module in modules}
    assert {entry(id_).figure for id_ in TALKS} == mine and not mine & others


@pytest.mark.parametrize("id_", ["brine-of-vinegar-and-water", "other-strength-of-vinegar"])
def test_no_sentence_of_acid_clears_anything_or_speaks_of_ph(id_: str) -> None:
    for way, text in entry(id_).ways.items():
        assert not re.search(r"\bpH\b|\bis safe\b|\bare safe\b|\bfine\b", text), way
        if way == "half-or-more":
            assert "proves nothing" in text and "not a licence" in text
