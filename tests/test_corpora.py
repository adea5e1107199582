"""Messages and stories written by people who saw neither the rules nor the code: harmless, dangerous, deadly in combination, and
with a known verdict. `tests/stories/still_wrong.yaml` lists by name what does not come out right yet."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.conversation import Talk
from tests.measure.safety_cases import EDIBLE, play
from tests.test_not_safe_stories import outcome

STORIES = Path(__file__).parent / "stories"
AFTER_THE_SEASON = datetime.fromisoformat("2026-10-20T10:00:00-05:00")
HOLD = {"ask-expert", "discard", "discard-hazard"}
STILL_WRONG: dict[str, dict[str, str]] = yaml.load((STORIES / "still_wrong.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)


def stories(name: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in (STORIES / f"{name}.jsonl").read_text("utf-8").splitlines()]


def each(name: str) -> list[Any]:
    return [pytest.param(story, id=story["id"]) for story in stories(name)]


def first_reply(text: str) -> dict[str, Any]:
    return Talk(AFTER_THE_SEASON).say(text)


def told(reply: dict[str, Any]) -> str:
    return str(reply["verdict"]["outcome"]) if reply["verdict"] else "nothing of jars"


@pytest.mark.parametrize("message", each("harmless"))
def test_what_is_harmless_is_never_thrown_out(message: dict[str, Any]) -> None:
    found = told(first_reply(message["text"]))
    assert found == STILL_WRONG["harmless"].get(message["id"], found)
    assert not found.startswith("discard") or message["id"] in STILL_WRONG["harmless"]


@pytest.mark.parametrize("message", each("dangerous"))
def test_what_is_dangerous_is_held_at_least_in_the_first_reply(message: dict[str, Any]) -> None:
    assert told(first_reply(message["text"])) in HOLD


@pytest.mark.parametrize("story", each("deadly"))
def test_rules_that_are_right_alone_let_nothing_be_eaten_together(story: dict[str, Any]) -> None:
    """Peas by a fruit recipe's time, one lid up, in the fridge for a week: each rule was kept, and three people could not breathe."""
    assert outcome(story) in {*HOLD, "none"}


@pytest.mark.parametrize("case", each("verdicts"))
def test_a_story_with_a_known_verdict_comes_out_so(case: dict[str, Any]) -> None:
    played = play(case)
    assert not played.eaten
    if case["id"] in STILL_WRONG["verdicts"]:
        assert played.kind != "right" and played.outcome == STILL_WRONG["verdicts"][case["id"]]
    else:
        assert played.kind == "right", str(played)


def test_the_corpora_are_as_large_as_they_should_be_and_mostly_right() -> None:
    assert len(stories("harmless")) >= 150 and len(stories("dangerous")) >= 150 and len(stories("deadly")) >= 100
    edible = [case for case in stories("verdicts") if case["verdict"] in EDIBLE]
    wrong = [case for case in edible if case["id"] in STILL_WRONG["verdicts"]]
    assert len(STILL_WRONG["verdicts"]) < 0.1 * len(stories("verdicts")) and len(wrong) < 0.2 * len(edible)
