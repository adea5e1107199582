"""Timers from the message that sets them to the moment they ring: over the real channel and the real store, with a clock of our own."""

from __future__ import annotations

import io
import json
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from bot.__main__ import main
from bot.app import App
from bot.channels import json_lines
from bot.store import MEMORY, Store, StoreError
from tests.conversation import TUESDAY_TEN, Talk, engine

MINUTE = timedelta(minutes=1)


def tick(talk: Talk, after: timedelta) -> dict[str, Any]:
    """What a line without words gets so long after ten o'clock."""
    line = json.dumps({"chat": talk.chat, "tick": True, "at": (TUESDAY_TEN + after).isoformat()}).encode()
    out = io.BytesIO()
    assert json_lines.run(io.BytesIO(line + b"\n"), out, talk.app.answer, talk.app.tick) == 0
    reply: dict[str, Any] = json.loads(out.getvalue())
    return reply


def rung(talk: Talk, after: timedelta) -> list[str]:
    return [line for line in tick(talk, after)["text"].split("\n") if line]


def at_ten(*messages: str, app: App | None = None, chat: str = "me") -> Talk:
    talk = Talk(app=app, chat=chat)
    for message in messages:
        talk.say(message, later=timedelta(0))
    return talk


def test_a_timer_rings_once_when_it_is_due_and_not_before() -> None:
    talk = at_ten("set a timer for 10 minutes for the pickles")
    assert rung(talk, 10 * MINUTE - timedelta(seconds=1)) == []
    assert rung(talk, 10 * MINUTE) == ["Time is up: pickles."]
    assert rung(talk, 10 * MINUTE) == rung(talk, 60 * MINUTE) == []


def test_the_reply_that_sets_a_timer_carries_it_as_a_reminder() -> None:
    (reply,) = at_ten("set a timer for 10 minutes for the pickles").replies
    assert reply["reminders"] == [{"at": "2026-07-14T10:10:00-05:00", "says": "Time is up: pickles."}]
    assert (reply["kind"], reply["question"], reply["verdict"]) == ("aside", None, None)


def test_several_ring_one_after_the_other_each_with_what_is_to_be_done() -> None:
    talk = at_ten("timer pickles 10 min, plate 2 min", "start the 5 min rest")
    (plate,) = rung(talk, 2 * MINUTE)
    assert plate.startswith("Time is up: plate. Push the blob")
    rest, pickles = rung(talk, 10 * MINUTE)
    assert rest.startswith("Time is up: rest. Lift the jars straight up") and pickles == "Time is up: pickles."


@pytest.mark.parametrize(
    ("after", "late"),
    [
        (timedelta(seconds=59), ""),
        (timedelta(seconds=60), "1 min"),
        (25 * MINUTE, "25 min"),
        (200 * MINUTE, "3 h 20 min"),
    ],
)
def test_one_that_rings_late_says_when_it_was_due(after: timedelta, late: str) -> None:
    talk = at_ten("timer 10 min pickles")
    assert rung(talk, 10 * MINUTE + after) == [
        "Time is up: pickles." + (f" That was at 10:10, {late} ago." if late else "")
    ]


def test_timers_and_reminders_are_told_together_in_the_order_they_fell_due() -> None:
    talk = at_ten(
        "one of my six lids is still up, strawberry jam, came out 3 hours ago",
        "timer 8 hours walnuts",
        "timer 10 hours chutney",
    )
    walnuts, check, chutney = rung(talk, timedelta(hours=10))
    assert ("walnuts" in walnuts, "12 hours have passed" in check, "chutney" in chutney) == (True, True, True)


def test_timers_outlive_the_program_and_ring_at_the_next_start(tmp_path: Path) -> None:
    talk = at_ten("timer 10 min pickles", app=App(engine(), Store(tmp_path / "kept.sqlite")))
    talk.app.store.close()
    talk.app = App(engine(), Store(tmp_path / "kept.sqlite"))
    running = talk.app.running("me", TUESDAY_TEN + 4 * MINUTE)
    assert running.paragraphs == ("Running:", "pickles: 6 min, until 10:10") and [
        (r.says, r.at) for r in running.reminders
    ] == [("pickles", TUESDAY_TEN + 10 * MINUTE)]
    assert rung(talk, 30 * MINUTE) == ["Time is up: pickles. That was at 10:10, 20 min ago."]
    assert talk.app.running("me", TUESDAY_TEN).paragraphs == ()
    talk.app.store.close()


def test_a_stopped_timer_does_not_ring_and_the_others_do() -> None:
    talk = at_ten("timer 10 min pickles", "timer 12 min jelly", "cancel the pickles one")
    assert rung(talk, 15 * MINUTE) == ["Time is up: jelly. That was at 10:12, 3 min ago."]


def test_a_stop_that_is_undone_lets_it_ring() -> None:
    assert rung(at_ten("timer 10 min pickles", "cancel pickles", "undo"), 10 * MINUTE) == ["Time is up: pickles."]


def test_undoing_the_message_that_set_it_takes_the_timer_away_and_leaves_the_story() -> None:
    talk = at_ten("one lid is up on the strawberry jam from last night", "timer 10 min pickles", "undo")
    assert rung(talk, 10 * MINUTE) == []
    assert talk.say("timers")["text"].startswith("No timer is running")
    assert talk.say("undo")["text"].startswith('Taken back: "one lid is up')


def test_forget_me_takes_the_timers_with_it() -> None:
    assert rung(at_ten("timer 10 min pickles", "forget me"), 60 * MINUTE) == []


def test_a_new_batch_leaves_them_running() -> None:
    assert rung(at_ten("timer 10 min pickles", "start over"), 10 * MINUTE) == ["Time is up: pickles."]


def test_nobody_gets_the_timers_of_another_chat() -> None:
    mine = at_ten("timer 10 min pickles")
    theirs = at_ten("cancel all timers", "timers", app=mine.app, chat="other")
    assert [reply["text"].split(".")[0] for reply in theirs.replies] == ["No timer is running"] * 2
    assert rung(theirs, 10 * MINUTE) == [] and rung(mine, 10 * MINUTE) == ["Time is up: pickles."]


def test_ask_me_how_it_went_asks_a_day_later() -> None:
    talk = at_ten("ask me how it went")
    assert rung(talk, timedelta(hours=23, minutes=59)) == []
    assert rung(talk, timedelta(hours=24)) == ["How did it turn out? Tell me what you see."]


def test_a_timer_set_with_news_of_the_jars_is_taken_back_with_them() -> None:
    talk = at_ten("set a timer for 10 minutes, all six lids are down on the strawberry jam")
    assert talk.replies[0]["question"] is not None and len(talk.replies[0]["reminders"]) >= 1
    talk.say("undo", later=timedelta(0))
    assert rung(talk, 10 * MINUTE) == []


def test_while_an_answer_is_awaited_a_timer_takes_nothing_from_the_question() -> None:
    told = ("one lid is up on the strawberry jam from last night", "extension recipe, nothing changed")
    without = at_ten(*told)
    assert without.replies[0]["question"]["evidence"] == "process-minutes"
    for timer in ("timer 10 min toast", "set a timer for 10 minutes", "10 min timer for the toast"):
        beside = at_ten(told[0], timer, told[1])
        assert beside.replies[1]["text"].startswith("Timer set") and beside.replies[-1] == without.replies[-1]


@pytest.mark.parametrize(
    "answer",
    [
        "10 minutes by the timer",
        "10 minutes, timer, 300 ft",
        "timer 10 minutes",
        "10 min timer 300 ft",
        "set the timer for 10 minutes, 300 ft",
        "10 minute timer at sea level",
    ],
)
def test_what_answers_the_question_for_a_time_sets_no_timer(answer: str) -> None:
    talk = at_ten("one lid is up on the strawberry jam from last night", answer)
    assert {"evidence": "process-minutes", "answer": "10 minutes", "certain": True} in talk.replies[1]["heard"]
    assert rung(talk, 20 * MINUTE) == []


@pytest.mark.parametrize("told", ["20 minutes, timer, 300 ft", "timer, 10 minutes, half pints"])
def test_a_time_told_in_a_list_of_other_things_sets_no_timer_either(told: str) -> None:
    assert rung(at_ten(told), 60 * MINUTE) == []


def test_a_store_that_cannot_be_read_rings_nothing_and_breaks_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    talk = at_ten("timer 10 min pickles")

    def broken(*_: object) -> None:
        raise StoreError("The disk is full.")

    with monkeypatch.context() as patch:
        patch.setattr(Store, "timers_due", broken)
        assert rung(talk, 10 * MINUTE) == []
    assert rung(talk, 10 * MINUTE) == ["Time is up: pickles."]


def test_the_engine_alone_knows_the_timers_it_is_given_and_no_clock() -> None:
    said = engine().turn((), {}, "timer 10 min pickles", TUESDAY_TEN)
    assert [(t.name, t.at, t.id) for t in said.timers] == [("pickles", TUESDAY_TEN + 10 * MINUTE, 0)]
    again = engine().turn((), {}, "timers", TUESDAY_TEN, [said.timers[0]._replace(id=7)])
    assert again.reply.paragraphs[1] == "pickles: 10 min, until 10:10"
    stopped = engine().turn((), {}, "cancel pickles", TUESDAY_TEN, [said.timers[0]._replace(id=7)])
    assert stopped.stopped == (7,) and stopped.record is not None


def test_a_clock_that_starts_sets_the_timer_of_the_bath_and_a_boil_that_stops_takes_it_away() -> None:
    talk = at_ten("start the clock, strawberry jam in half pints, jars boiled first, 5200 ft")
    assert "10 minutes at a rolling boil" in talk.replies[0]["text"]
    assert [line[:18] for line in rung(talk, 10 * MINUTE)] == ["Time is up: bath. "]
    talk = at_ten("start the clock, strawberry jam in half pints, jars boiled first, 5200 ft")
    talk.now += 4 * MINUTE
    talk.say("it stopped boiling")
    assert rung(talk, 10 * MINUTE) == []
    assert datetime.fromisoformat(talk.say("back at the boil")["reminders"][0]["at"]) == TUESDAY_TEN + 15 * MINUTE


@pytest.mark.parametrize("message", ["timer 10 min pickles", "log the 180 bath, 183"])
def test_a_single_question_from_the_command_line_promises_no_timer(message: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["ask", message]) == 0
    assert capsys.readouterr().out == engine().text("needs-chat") + "\n"


def test_a_fresh_store_in_memory_has_none() -> None:
    assert App(engine(), Store(MEMORY)).running("me", TUESDAY_TEN).paragraphs == ()


def test_a_timer_is_no_time_gone_by() -> None:
    told = ("one of my six lids is still up, strawberry jam", "pectin leaflet, nothing changed", "10 minutes by timer, 300 ft", "big bubbles over the lids")
    for order in ("timer 5 min plate", "set a timer for 10 minutes", "10 min timer"):
        talk = at_ten(*told, order)
        assert talk.replies[-2]["question"]["evidence"] == "hours-since-process"
        assert talk.replies[-1]["text"].startswith("Timer set") and talk.replies[-1]["verdict"] is None
    gone_by = at_ten(*told, "5 minutes ago by the timer").replies[-1]
    assert "hours-since-process" in {heard["evidence"] for heard in gone_by["heard"]}
