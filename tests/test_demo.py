"""The recorded season of demo/ is what the program says today: every line, word for word, and the text beside it."""

from __future__ import annotations

from datetime import datetime
from functools import cache

import pytest

from demo.record import FOLDER, Exchange, Script, as_text, from_lines, play, scripts
from tests.conversation import engine

EVERY = [pytest.param(script, id=script.name) for script in scripts()]
AGAIN = "(python -m demo.record writes it again)"


@cache
def recorded(name: str) -> list[Exchange]:
    return from_lines((FOLDER / f"{name}.jsonl").read_text("utf-8"))


@pytest.mark.parametrize("script", EVERY)
def test_every_recorded_line_is_answered_word_for_word(script: Script) -> None:
    today = play((each.sent for each in recorded(script.name)), engine())
    assert [each.answered for each in today] == [each.answered for each in recorded(script.name)], AGAIN


@pytest.mark.parametrize("script", EVERY)
def test_what_was_sent_is_what_the_script_says(script: Script) -> None:
    assert [each.sent for each in recorded(script.name)] == list(script.lines), AGAIN


@pytest.mark.parametrize("script", EVERY)
def test_the_text_is_what_the_recorder_would_write_now(script: Script) -> None:
    today = as_text(script.title, play(script.lines, engine()))
    assert (FOLDER / f"{script.name}.txt").read_text("utf-8") == today, AGAIN


def test_no_recording_is_left_of_a_conversation_that_is_gone() -> None:
    names = {script.name for script in scripts()}
    assert {path.stem for ending in ("*.jsonl", "*.txt") for path in FOLDER.glob(ending)} == names


def test_the_season_goes_from_june_to_the_next_spring() -> None:
    begins = [datetime.fromisoformat(script.lines[0]["at"]) for script in scripts()]
    assert begins == sorted(begins)
    assert (begins[0].year, begins[0].month, begins[-1].year, begins[-1].month) == (2026, 6, 2027, 4)


def test_every_problem_has_its_conversation_and_one_is_a_danger() -> None:
    first = {script.name: recorded(script.name)[0].answered for script in scripts()}
    assert set(engine().knowledge.problems) <= {each for answered in first.values() for each in answered["problems"]}
    assert [name for name, answered in first.items() if answered["kind"] == "urgent"] == ["bulging-in-april"]


def test_the_script_says_that_the_kitchen_is_invented() -> None:
    comment = [line for line in (FOLDER / "scripts.yaml").read_text("utf-8").splitlines() if line.startswith("#")]
    assert "invented" in " ".join(comment)
