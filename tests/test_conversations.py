"""Whole conversations as people type them: tests/conversations/PROBLEM.yaml, one file for each problem, and others
by what they are about.

A turn is what is typed (`says`), when (`at`; if left out, a minute after the turn before), and what must come back:
`asks` (the question put next, or `nothing`), `outcome` (of the verdict; `none` for a pot on the stove; `a or b` where
publications differ), `heard` (at least this), `text_has` and `text_lacks` (in capitals or not).
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
import yaml

from bot.app import App
from bot.store import Store
from tests.conversation import Talk, engine

FOLDER = Path(__file__).with_name("conversations")
FIELDS = {"says", "at", "asks", "outcome", "heard", "text_has", "text_lacks"}
LEAST = 5  # conversations for each problem

Turn = dict[str, Any]


def read(path: Path) -> dict[str, list[Turn]]:
    """The conversations of one file. Every scalar is text, so that `no` stays the word no."""
    found: dict[str, list[Turn]] = yaml.load(path.read_text("utf-8"), Loader=yaml.BaseLoader)
    return found


FILES = {path.stem: read(path) for path in sorted(FOLDER.glob("*.yaml"))}
ALL = [
    pytest.param(turns, id=f"{problem}: {name}") for problem, talks in FILES.items() for name, turns in talks.items()
]


def replies(turns: list[Turn], talk: Talk) -> list[dict[str, Any]]:
    for turn in turns:
        if "at" in turn:
            talk.now = datetime.fromisoformat(turn["at"])
        talk.say(turn["says"])
    return talk.replies


def misses(turn: Turn, reply: dict[str, Any]) -> list[str]:
    """Everything in which a reply is not what the turn expects."""
    said, text = f'after "{turn["says"]}"', reply["text"].casefold()
    asks = reply["question"]["evidence"] if reply["question"] else "nothing"
    outcome = reply["verdict"]["outcome"] if reply["verdict"] else "none"
    heard = {(each["evidence"], each["answer"]) for each in reply["heard"]}
    found = []
    if turn.get("asks", asks) != asks:
        found.append(f"{said} it asks {asks}, not {turn['asks']}")
    if outcome not in turn.get("outcome", outcome).split(" or "):
        found.append(f"{said} the outcome is {outcome}, not {turn['outcome']}")
    found += [f"{said} {what} is not heard as {answer}" for what, answer in set(turn.get("heard", {}).items()) - heard]
    found += [f"{said} the text lacks: {words}" for words in turn.get("text_has", []) if words.casefold() not in text]
    found += [f"{said} the text has: {words}" for words in turn.get("text_lacks", []) if words.casefold() in text]
    return found


@pytest.mark.parametrize("turns", ALL)
def test_the_conversation_goes_as_it_should(turns: list[Turn]) -> None:
    played = zip(turns, replies(turns, Talk()), strict=True)
    assert [miss for turn, reply in played for miss in misses(turn, reply)] == []


@pytest.mark.parametrize("turns", ALL)
def test_closing_the_program_after_every_message_changes_no_reply(turns: list[Turn], tmp_path: Path) -> None:
    never_closed = replies(turns, Talk())
    talk = Talk()
    for number, turn in enumerate(turns, 1):
        talk.app = App(engine(), Store(tmp_path / "kept.sqlite"))
        assert replies([turn], talk) == never_closed[:number]
        talk.app.store.close()


def test_every_problem_has_its_conversations() -> None:
    problems = set(engine().knowledge.problems)
    assert problems <= set(FILES)
    assert {problem: len(FILES[problem]) for problem in problems if len(FILES[problem]) < LEAST} == {}


def test_a_conversation_says_when_it_begins_and_holds_no_unknown_field() -> None:
    talks = {f"{problem}: {name}": turns for problem, found in FILES.items() for name, turns in found.items()}
    assert [name for name, turns in talks.items() if "at" not in turns[0]] == []
    fields = {name: {field for turn in turns for field in turn} for name, turns in talks.items()}
    assert {name: unknown for name, found in fields.items() if (unknown := found - FIELDS)} == {}
