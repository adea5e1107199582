"""Nothing falls silent: every safety rule, and every exception, decides one conversation that a person might type."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pytest
import yaml

from bot.app import App
from bot.engine.facts import NO, OPEN, Facts
from bot.engine.knowledge import Rule
from bot.engine.safety import OUTCOMES, Judgement, judge
from bot.engine.turn import Engine
from bot.store import MEMORY, Store
from tests.conversation import Talk, engine
from tests.test_not_safe_stories import answered

FILE = Path(__file__).parent / "stories" / "every_rule.yaml"
STORIES: dict[str, dict[str, Any]] = yaml.safe_load(FILE.read_text("utf-8"))
FIELDS = {"says", "answers", "outcome", "says_why", "beside", "open"}
LATE = "#late"
EDIBLE = {"shelf-ok", "quality-only", "reprocess-now", "fridge-use-soon"}
# What is said of everything that the story leaves out: all of it was done right.
SOUND = {
    "acid-added": "Bottled juice or citric acid",
    "altitude": "300 ft",
    "bath-temperature": "182 F",
    "boil-held": "Big bubbles over the lids",
    "eaten": "No",
    "hours-in-store": "On day one",
    "jar-size": "Pint (16 oz)",
    "jars-boiled-first": "Yes, boiled 10 minutes",
    "kept-as": "The shelf",
    "liquid-lost": "Neck or where it was",
    "not-read": "No, nothing wrong",
    "pack": "Hot, heated first",
    "packed-in": "Crushed, heated first",
    "pectin": "Powder from a packet",
    "pressure-run": "Vented, held for my height",
    "process-method": "Boiled them under water",
    "process-minutes": "The time the sheet prints",
    "recipe-changes": "Nothing changed",
    "recipe-source": "Extension or official sheet",
    "sealed": "Down, does not move",
    "since-opened": "In the fridge",
    "soured": "Yes, clean and sour",
    "spoilage-signs": "None, and the lid is down",
    "steam-run": "Vented, full steam, shut",
    "storage": "Shelf, counter, cupboard",
    "symptoms": "Nobody is unwell",
    "time-for-height": "The one for my height",
    "vinegar-strength": "5 % or more",
    "warm-before-cold": "Under 2 hours",
}


class Played(NamedTuple):
    """How a conversation went: its replies, and the judgement that its last verdict rests on."""

    replies: list[dict[str, Any]]
    judgement: Judgement

    @property
    def verdict(self) -> dict[str, Any]:
        """The last one that was told."""
        return next((r["verdict"] for r in reversed(self.replies) if r["verdict"]), {"outcome": "none", "because": []})

    @property
    def comes_to(self) -> tuple[str, dict[str, int], bool]:
        """The outcome, the acts left, and whether what is thrown out is handled as a danger."""
        return self.verdict["outcome"], self.judgement.acts, self.judgement.hazard > NO


@cache
def played(story: str, without: frozenset[str] = frozenset()) -> Played:
    """The conversation, with some of the rules and exceptions left out of the knowledge."""
    talk = Talk(app=App(without_rules(without), Store(MEMORY)))
    for message in STORIES[story]["says"]:
        talk.say(message)
    answered(talk, SOUND | STORIES[story].get("answers", {}))
    return Played(talk.replies, worst_judgement(talk))


@cache
def without_rules(left_out: frozenset[str]) -> Engine:
    known = engine().knowledge
    if not left_out:
        return engine()
    return Engine(known._replace(rules=all_but(known.rules, left_out), exceptions=all_but(known.exceptions, left_out)))


def all_but(entries: dict[str, Any], left_out: Collection[str]) -> dict[str, Any]:
    return {id_: each for id_, each in entries.items() if id_ not in left_out}


def worst_judgement(talk: Talk) -> Judgement:
    """Of the group of jars that is told of first, when the last reply was given."""
    turns = talk.app.store.load(talk.chat)
    case = talk.app.engine.case(turns, talk.app.store.kitchen(talk.chat))
    at = datetime.fromisoformat(talk.replies[-1]["at"])
    judgements = [judge(Facts(talk.app.engine.knowledge, case, at, group)) for group in case.groups]
    return max(judgements, key=lambda each: OUTCOMES.index(each.outcome))


def told_of(story: str) -> str:
    """The rule or exception that the conversation is for."""
    return story.partition("#")[0]


def rule_of(story: str) -> Rule:
    """That rule, or the one that the exception softens."""
    known = engine().knowledge
    exception = known.exceptions.get(told_of(story))
    return known.rules[exception.softens if exception else told_of(story)]


def has_limits(rule: Rule) -> bool:
    return bool(rule.leaves) and not rule.only_handling


def test_no_rule_falls_silent() -> None:
    known = engine().knowledge
    assert {told_of(story) for story in STORIES} == {*known.rules, *known.exceptions}


def test_rules_with_limits_are_told_of_on_either_side() -> None:
    """Within the limits something may still be eaten; past them nothing."""
    limited = {rule.id for rule in engine().knowledge.rules.values() if has_limits(rule)}
    within = {id_ for id_ in limited if id_ in STORIES and STORIES[id_]["outcome"] in EDIBLE}
    past = {id_ for id_ in limited if id_ + LATE in STORIES and STORIES[id_ + LATE]["outcome"].startswith("discard")}
    assert (limited - within, limited - past) == (set(), set())


def test_no_story_says_what_is_not_read() -> None:
    assert {field for story in STORIES.values() for field in story} <= FIELDS
    asked = {name.partition("#")[0] for story in STORIES.values() for name in story.get("answers", {})}
    assert asked | set(SOUND) <= set(engine().knowledge.evidence)


@pytest.mark.parametrize("story", STORIES)
def test_the_conversation_ends_as_it_should(story: str) -> None:
    assert played(story).verdict["outcome"] == STORIES[story]["outcome"]


@pytest.mark.parametrize("story", STORIES)
def test_the_rule_bites_and_is_named(story: str) -> None:
    rule = rule_of(story)
    (state,) = [each for each in played(story).judgement.states if each.rule.id == rule.id]
    assert state.clear == (OPEN if STORIES[story].get("open") else NO)
    assert rule.id in played(story).verdict["because"]


@pytest.mark.parametrize("story", [name for name, story in STORIES.items() if "says_why" in story])
def test_the_reason_is_told(story: str) -> None:
    words = STORIES[story]["says_why"]
    assert words in rule_of(story).says
    assert any(words in reply["text"] for reply in played(story).replies)


@pytest.mark.parametrize("story", STORIES)
def test_without_the_rule_it_would_end_otherwise(story: str) -> None:
    as_it_is, beside = played(story), STORIES[story].get("beside", [])
    assert played(story, frozenset({told_of(story), *beside})).comes_to != as_it_is.comes_to


@pytest.mark.parametrize("story", [name for name, story in STORIES.items() if "beside" in story])
def test_what_is_said_to_bite_beside_it_does(story: str) -> None:
    """And is needed: where the rule decides by itself, nothing is named beside it."""
    as_it_is, beside = played(story), STORIES[story]["beside"]
    assert set(beside) <= {each.rule.id for each in as_it_is.judgement.states if each.clear == NO}
    assert played(story, frozenset({told_of(story)})).comes_to == as_it_is.comes_to
