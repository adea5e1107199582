"""What is taken as an order, and that no story of trouble ever is: with a log open, with timers running, or with neither."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from bot.engine import orders
from bot.engine.reply import Timer
from bot.engine.turn import Outcome
from tests.conversation import TUESDAY_TEN, engine
from tests.test_corpora import stories

TIMERS = [Timer("jam", TUESDAY_TEN + timedelta(minutes=5), "Time is up: jam.", 1)]


def order(text: str) -> str:
    found = orders.spoken(engine().reader, text)
    return found.order if found else ""


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("set a timer for 10 minutes", "timer"),
        ("could you please set me a timer for 25 mins for the beets", "timer"),
        ("ok now start a 10 minute timer", "timer"),
        ("remind me to skim the foam in 5 min", "timer"),
        ("remnd me in 3 mins", "timer"),
        ("10 minute timer for the jelly", "timer-short"),
        ("timer 10", "timer-short"),
        ("cancel the pickles one", "stop-timer"),
        ("stop the plate timer", "stop-timer"),
        ("timers", "timers"),
        ("what timers are running", "timers"),
        ("how much time is left", "timers"),
        ("start the clock", "clock"),
        ("it's boiling, start the clock", "clock"),
        ("ask me how it went", "ask-later"),
        ("log the 180 bath", "log-gentle"),
        ("start the low temperature log", "log-gentle"),
        ("I'm doing the 180 degree bath, 182 now", "log-gentle"),
        ("log the boil, 15 minutes", "log-boil"),
        ("log the pressure canner", "log-pressure"),
        ("log", "log"),
        ("end the log", "log-end"),
        ("it stopped boiling at 12 minutes", "boil-stopped"),
        ("it went off the boil", "boil-stopped"),
        ("back at the boil", "boil-back"),
        ("still boiling", "boiling"),
    ],
)
def test_an_order_is_heard(text: str, meant: str) -> None:
    assert order(text) == meant


@pytest.mark.parametrize(
    "text",
    [
        "10 minutes by the timer",
        "I set a timer for 10 minutes",
        "we did the 180 bath last night",
        "boiled them 10 minutes with a kitchen timer",
        "do not set a timer",
        "the timer said 10 minutes",
        "when does the timer start",
        "my timer rang and the lids are down",
    ],
)
def test_a_report_is_no_order(text: str) -> None:
    assert order(text) == ""


def begun(kind: str, minutes: float, psi: float, seen: list[float]) -> dict[str, Any]:
    at = (TUESDAY_TEN - timedelta(minutes=2)).isoformat()
    log = {"begin": {"kind": kind, "minutes": minutes, "psi": psi, "unit": "F"}, "read": [[at, *seen, False]]}
    return {"at": at, "text": "log", "observations": [], "problems": [], "beside": True, "log": log}


OPEN_LOGS = {
    "no log": [],
    "the 180 bath": [begun("gentle", 30, 0, [183, 183])],
    "a boil": [begun("boil", 10, 0, [1, 1])],
    "a pressure process": [begun("pressure", 25, 11, [11, 11])],
}


def taken(turns: list[dict[str, Any]], text: str) -> Outcome | None:
    it = engine()
    case = it.case(turns, {})
    return orders.answer(it, it.reader.read(text, TUESDAY_TEN), case, turns, {}, text, TUESDAY_TEN, TIMERS)


@pytest.mark.parametrize("turns", OPEN_LOGS.values(), ids=OPEN_LOGS)
@pytest.mark.parametrize("name", ["dangerous", "deadly", "not_safe", "harmless"])
def test_no_story_of_trouble_is_taken_as_an_order(name: str, turns: list[dict[str, Any]]) -> None:
    messages = [text for story in stories(name) for text in story.get("says", [story.get("text")])]
    assert len(messages) > 100
    found = {text: done.reply.text for text in messages if (done := taken(turns, text)) is not None}
    # the one thing that a longer story may put into a log: that the boil stopped, which takes minutes away
    assert {
        text: said
        for text, said in found.items()
        if not said.startswith("It stopped, so the minutes before it no longer count")
    } == {}


@pytest.mark.parametrize("turns", OPEN_LOGS.values(), ids=OPEN_LOGS)
@pytest.mark.parametrize(
    "text",
    [
        "183 and the lid is bulging",
        "182, one jar just cracked",
        "my son is seeing double",
        "11 psi but I feel sick, I ate some",
        "still boiling, there is mould on one",
        "182 it smells rotten",
    ],
)
def test_a_danger_beside_a_reading_is_answered_as_a_danger(text: str, turns: list[dict[str, Any]]) -> None:
    assert taken(turns, text) is None
