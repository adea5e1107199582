"""What is believed after it was told two ways, was never told, or was told along with something else; and what is asked for it."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from bot.engine.facts import Facts
from bot.engine.knowledge import Evidence
from tests.conversation import Talk, engine
from tests.test_every_rule import SOUND
from tests.test_not_safe_stories import answered

FILE = Path(__file__).parent / "stories" / "believed.yaml"
STORIES: list[dict[str, Any]] = yaml.load(FILE.read_text("utf-8"), Loader=yaml.BaseLoader)
FIELDS = {"of", "says", "answers", "believed", "asked", "never_asked", "ends"}
SAFETY = [entry for entry in engine().knowledge.evidence.values() if entry.safety]


def play(story: dict[str, Any]) -> Talk:
    """The messages, and with `answers` the open questions as well: what the story does not tell was done right."""
    talk = Talk()
    for message in story["says"]:
        talk.say(message)
    if "answers" in story:
        answered(talk, SOUND | story["answers"])
    return talk


def believed(talk: Talk, evidence: str) -> list[str]:
    """The answers that may still be true of the jars told of first; of what is ticked, all that is ticked."""
    app = talk.app
    case = app.engine.case(app.store.load(talk.chat), app.store.kitchen(talk.chat))
    facts, entry = Facts(app.engine.knowledge, case, talk.now, case.groups[0]), app.engine.knowledge.evidence[evidence]
    if entry.kind != "several":
        return sorted(facts.possible(evidence))
    ticked = facts.belief(evidence)
    return sorted(ticked.present) if ticked is not None else []


def ends(talk: Talk) -> str:
    return next((str(reply["verdict"]["outcome"]) for reply in reversed(talk.replies) if reply["verdict"]), "none")


def as_told(story: dict[str, Any]) -> bool:
    """Whether everything that the story says of its conversation comes true."""
    talk = play(story)
    return (
        all(believed(talk, name) == sorted(answers) for name, answers in story["believed"].items())
        and set(story.get("asked", ())) <= set(talk.asked)
        and not set(story.get("never_asked", ())) & set(talk.asked)
        and ends(talk) == story["ends"]
    )


@cache
def talk_of(number: int) -> Talk:
    return play(STORIES[number])


def named(story: dict[str, Any], number: int) -> str:
    return f"{number} {', '.join(story['of'])}"


each_story = pytest.mark.parametrize("number", [pytest.param(n, id=named(story, n)) for n, story in enumerate(STORIES)])


@each_story
def test_this_is_believed(number: int) -> None:
    told = STORIES[number]["believed"]
    assert {name: believed(talk_of(number), name) for name in told} == {
        name: sorted(answers) for name, answers in told.items()
    }


@each_story
def test_the_conversation_ends_so(number: int) -> None:
    assert ends(talk_of(number)) == STORIES[number]["ends"]


@pytest.mark.parametrize("number", [n for n, story in enumerate(STORIES) if "asked" in story or "never_asked" in story])
def test_only_what_is_not_known_is_asked(number: int) -> None:
    asked = set(talk_of(number).asked)
    assert set(STORIES[number].get("asked", ())) <= asked
    assert not asked & set(STORIES[number].get("never_asked", ()))


def test_no_story_says_what_is_not_read() -> None:
    assert {field for story in STORIES for field in story} <= FIELDS
    names = {
        name
        for story in STORIES
        for field in ("of", "believed", "asked", "never_asked")
        for name in story.get(field, ())
    }
    assert names <= set(engine().knowledge.evidence)


@pytest.mark.parametrize("entry", [pytest.param(entry, id=entry.id) for entry in SAFETY if entry.danger])
def test_every_danger_is_told_beside_a_sound_word(entry: Evidence) -> None:
    """And is what is believed then, or keeps the sound word from being."""
    stories = [story["believed"].get(entry.id, ()) for story in STORIES if entry.id in story["of"]]
    assert any(set(answers) & set(entry.danger) for answers in stories)


@pytest.mark.parametrize("entry", [pytest.param(entry, id=entry.id) for entry in SAFETY if entry.silent and entry.asks])
def test_every_silence_that_saves_a_question_is_kept(entry: Evidence) -> None:
    assert entry.silent is not None
    silences = [story for story in STORIES if entry.id in story["of"] and entry.id in story.get("never_asked", ())]
    assert any(
        entry.kind == "several" or story["believed"].get(entry.id) == [entry.silent.answer] for story in silences
    )
