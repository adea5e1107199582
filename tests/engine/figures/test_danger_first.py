"""A question for a figure beside a danger: the danger is answered, not the question."""

from __future__ import annotations

from typing import Any

import pytest

from tests.conversation import Talk
from tests.test_corpora import AFTER_THE_SEASON, stories

# question -> what its figure would say
QUESTIONS = {
    "is 2 cups vinegar 2 cups water ok?": ("before the %", "half-and-half", "No mixture makes"),
    "my vinegar is 4%, what did that do?": ("20 % less acid",),
    "how much salt for 5 lb cabbage?": ("52 to 56 g",),
    "how many ml in a pint?": ("473 mL",),
    "what is 220f in c?": ("104.4",),
}
DANGEROUS: list[dict[str, Any]] = stories("dangerous")


@pytest.mark.parametrize("question", QUESTIONS)
def test_no_dangerous_message_is_answered_with_a_figure(question: str) -> None:
    for message in DANGEROUS:
        for text in (f"{message['text']} {question}", f"{question} {message['text']}"):
            told = Talk(AFTER_THE_SEASON).say(text)["text"]
            assert not any(words in told for words in QUESTIONS[question]), text


@pytest.mark.parametrize("question", QUESTIONS)
def test_alone_each_question_gets_its_figure(question: str) -> None:
    assert any(words in Talk(AFTER_THE_SEASON).say(question)["text"] for words in QUESTIONS[question])
