"""Nobody is asked to open, smell or taste a jar that is shut: what is in it may be deadly and smell of nothing."""

import re

import pytest

from bot.library import load

SENSES = re.compile(r"\b(open\w*|smell\w*|taste\w*|sniff\w*|unscrew\w*|try|pry|feel\w*)\b", re.IGNORECASE)
OF_WHAT_IS_OPEN = ("already open", "was opened", "last open", "When was the jar opened?", "Look at the shut jar")
QUESTIONS = {e.id: e.asks for e in load().evidence.values() if e.asks and SENSES.search(e.asks)}


def test_there_are_questions_to_look_at() -> None:
    assert "soured" in QUESTIONS


@pytest.mark.parametrize("evidence", QUESTIONS)
def test_the_question_is_of_something_open(evidence: str) -> None:
    assert any(words in QUESTIONS[evidence] for words in OF_WHAT_IS_OPEN), QUESTIONS[evidence]
