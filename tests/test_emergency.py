"""Once somebody is unwell, the call for help comes first, whatever is typed next; and there is a way out of it."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.conversation import Talk

TOLD = "my wife ate my carrots from a jar and her eyelids droop"
CALL, WAY_OUT = "emergency number", "start over"


def after(*messages: str, later: timedelta = timedelta(0)) -> str:
    talk = Talk()
    talk.say(TOLD)
    talk.now += later
    for message in messages:
        talk.say(message)
    return str(talk.replies[-1]["text"])


@pytest.mark.parametrize("message", ["should i wait till tomorow", "hello", "help", "how long for pint peaches", "timer 10 min", "183", "can she drive"])
def test_nothing_else_is_answered_before_the_call(message: str) -> None:
    text = after(message)
    assert CALL in text and WAY_OUT in text
    assert len(text.split()) <= 80


@pytest.mark.parametrize("message", ["undo", "start over"])
def test_a_mistake_is_taken_back(message: str) -> None:
    assert CALL not in after(message, "how long for pint jars of peaches, raw pack, 4000 ft")


def test_another_batch_on_another_day_is_listened_to() -> None:
    assert CALL not in after("one of my six lids is still up on the strawberry jam, jars came out an hour ago", later=timedelta(days=2))


def test_hours_later_the_same_day_it_still_comes_first() -> None:
    assert CALL in after("hello", later=timedelta(hours=11))
