"""Stories told so as to get a wrong "safe": each once did, or nearly did. None may come out as food to be kept or eaten."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.conversation import Talk

FILE = Path(__file__).parent / "stories" / "not_safe.jsonl"
STORIES: list[dict[str, Any]] = [json.loads(line) for line in FILE.read_text("utf-8").splitlines()]
MOST_ASKED = 25
ANSWERS_HERE = "<answers>"  # in `says`: the open questions are answered at this point


def answered(talk: Talk, answers: dict[str, str]) -> None:
    """Answers what is asked, from what the story knows; a second time what it says for the second time."""
    times: dict[str, int] = {}
    while talk.replies[-1]["question"] is not None and len(talk.replies) < MOST_ASKED:
        asked = talk.replies[-1]["question"]["evidence"]
        times[asked] = times.get(asked, 0) + 1
        if times[asked] > 2:
            return
        first = answers.get(asked, "Can't say")
        talk.say(answers.get(f"{asked}#2", first) if times[asked] == 2 else first)


def outcome(story: dict[str, Any]) -> str:
    talk = Talk()
    for message in story["says"]:
        if message == ANSWERS_HERE:
            answered(talk, story["answers"])
        else:
            talk.say(message)
    answered(talk, story["answers"])
    return next((str(r["verdict"]["outcome"]) for r in reversed(talk.replies) if r["verdict"]), "none")


@pytest.mark.parametrize("story", [pytest.param(s, id=f"{n} {s['why']}") for n, s in enumerate(STORIES)])
def test_the_story_does_not_end_in_food_to_be_eaten(story: dict[str, Any]) -> None:
    assert outcome(story) in {"ask-expert", "discard", "discard-hazard", "none", *story["allowed"]}


def test_there_are_stories_of_every_danger() -> None:
    assert len(STORIES) > 200
    assert len({story["why"] for story in STORIES}) > 15
