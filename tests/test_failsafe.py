"""When a step breaks, the person still hears what errs on the safe side, and what they said is kept."""

from __future__ import annotations

import logging
import sqlite3
from typing import Any, NoReturn

import pytest

from bot.app import App
from bot.store import MEMORY, Store, StoreError
from tests.conversation import Talk, engine

STEPS = {
    "reading": "bot.engine.reader.Reader.read",
    "the fold over the turns": "bot.engine.turn.fold",
    "the verdict": "bot.engine.assess.judge",
    "the causes": "bot.engine.assess.rank",
    "the next question": "bot.engine.assess.for_safety",
    "the fixes": "bot.engine.assess.plan",
    "the words": "bot.engine.turn.compose",
    "the reminders": "bot.engine.turn.reminders",
}
BREAKS = (ValueError("broken on purpose"), KeyError("broken"), ZeroDivisionError(), RecursionError(), MemoryError())
SOFT = "jam didn't set, lids fine"
MORE = "strawberry jam, the lids are all down"


def broken(error: BaseException) -> Any:
    def step(*_: object, **__: object) -> NoReturn:
        raise error

    return step


@pytest.fixture
def talk() -> Talk:
    return Talk(app=App(engine(), Store(MEMORY)))


def kept(talk: Talk) -> list[str]:
    return [turn["text"] for turn in talk.app.store.load(talk.chat)]


def is_the_safe_sentence(reply: dict[str, Any]) -> bool:
    nothing: dict[str, Any] = {"verdict": None, "verdicts": [], "causes": [], "fixes": [], "question": None, "reminders": []}
    said = (reply["kind"], reply["text"]) == ("answer", engine().text("cant-assess"))
    return said and {name: reply[name] for name in nothing} == nothing


def test_the_sentence_says_not_to_eat_it_to_keep_it_cold_and_whom_to_ask() -> None:
    says = engine().text("cant-assess").lower()
    assert says.startswith("do not eat") and "cold" in says and "extension office" in says


@pytest.mark.parametrize("step", STEPS.values(), ids=STEPS)
def test_a_step_that_breaks_on_the_first_message_errs_on_the_safe_side(step: str, talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(step, broken(BREAKS[0]))
    assert is_the_safe_sentence(talk.say(SOFT))
    assert kept(talk) == [SOFT]


@pytest.mark.parametrize("step", STEPS.values(), ids=STEPS)
def test_a_step_that_breaks_in_the_middle_leaves_the_batch_to_be_taken_up_again(
    step: str, talk: Talk, monkeypatch: pytest.MonkeyPatch
) -> None:
    talk.say(SOFT)
    with monkeypatch.context() as patch:
        patch.setattr(step, broken(BREAKS[0]))
        assert is_the_safe_sentence(talk.say(MORE))
    assert kept(talk) == [SOFT, MORE]
    reply = talk.say(MORE)
    assert reply["problems"] == ["runny"] and reply["question"] is not None
    assert kept(talk) == [SOFT, MORE, MORE]


@pytest.mark.parametrize("error", BREAKS, ids=lambda error: type(error).__name__)
def test_however_it_breaks(error: Exception, talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(STEPS["the verdict"], broken(error))
    assert is_the_safe_sentence(talk.say(SOFT))


def test_what_broke_is_logged_with_its_place(talk: Talk, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture) -> None:
    monkeypatch.setattr(STEPS["the words"], broken(BREAKS[0]))
    with caplog.at_level(logging.ERROR, "lidside"):
        talk.say(SOFT)
    (record,) = caplog.records
    assert record.exc_info is not None and record.exc_info[1] is BREAKS[0]


def test_a_broken_turn_of_one_person_is_nothing_to_another(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    other = Talk(app=talk.app, chat="other")
    with monkeypatch.context() as patch:
        patch.setattr(STEPS["reading"], broken(BREAKS[0]))
        talk.say(SOFT)
    assert other.say(SOFT)["problems"] == ["runny"]
    assert kept(other) == [SOFT]


def test_a_person_who_stops_the_program_is_not_held_back(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(STEPS["reading"], broken(KeyboardInterrupt()))
    with pytest.raises(KeyboardInterrupt):
        talk.say(SOFT)
    assert kept(talk) == []


@pytest.mark.parametrize("step", ["append", "load", "kitchen", "open_case", "turn"])
@pytest.mark.parametrize("error", [StoreError("The disk is full."), sqlite3.OperationalError("disk I/O error")], ids=["ours", "SQLite"])
def test_a_store_that_breaks_errs_on_the_safe_side_too(
    step: str, error: Exception, talk: Talk, monkeypatch: pytest.MonkeyPatch
) -> None:
    talk.say(SOFT)
    with monkeypatch.context() as patch:
        patch.setattr(Store, step, broken(error))
        assert is_the_safe_sentence(talk.say(MORE))
    assert kept(talk)[0] == SOFT
    assert talk.say(MORE)["problems"] == ["runny"]


def test_a_turn_that_cannot_be_kept_leaves_nothing_half_done(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    talk.say(SOFT)
    with monkeypatch.context() as patch:
        patch.setattr(Store, "replace_reminders", broken(StoreError("The disk is full.")))
        assert is_the_safe_sentence(talk.say("we are at 5200 ft"))
    assert talk.app.store.kitchen(talk.chat) == {}
    assert kept(talk) == [SOFT, "we are at 5200 ft"]


def test_a_store_that_cannot_keep_a_turn_does_not_keep_it(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(Store, "append", broken(StoreError("The disk is full.")))
        assert is_the_safe_sentence(talk.say(SOFT))
    assert kept(talk) == []
