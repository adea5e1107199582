"""The conversation as JSON lines, version 1: what scripts may rely on, whatever is said."""

from __future__ import annotations

import io
import json
import logging
import os
import subprocess
import sys
from collections import defaultdict
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from bot import CONTRACT, __version__
from bot.app import App
from bot.channels import json_lines
from bot.store import MEMORY, Store
from tests.conversation import TUESDAY_TEN, Talk, engine, talk_of

ROOT = Path(__file__).resolve().parents[1]
KINDS = {"answer", "clarify", "aside", "out-of-scope", "urgent"}
OUTCOMES = ("shelf-ok", "quality-only", "reprocess-now", "fridge-use-soon", "ask-expert", "discard", "discard-hazard")
MOST_WORDS = 80
NOT_DECIDED = OUTCOMES.index("ask-expert")

LID_UP = "one of my six lids is still up, jars came out about 9 last night"
SOFT = "jam didn't set, lids fine"
BEANS = "green beans in a boiling water bath last week, all sealed"
SAID = {  # message -> the kind of its reply
    LID_UP: "answer",
    SOFT: "answer",
    "no trail on the plate, been boiling 25 min, thermometer says 215, we are at 5200 ft": "answer",
    "strawberry jam": "clarify",
    "hello": "aside",
    "help": "aside",
    "why": "aside",
    "undo": "aside",
    "my kitchen": "aside",
    "forget me": "aside",
    "thanks": "aside",
    "how do I get jam off a carpet": "out-of-scope",
    BEANS: "urgent",
    "we ate home canned beans yesterday and I'm seeing double": "urgent",
}
TALKS = {
    "a": (LID_UP, "strawberry jam", "300 ft", "10 minutes by a timer", "can't say", "why", "undo"),
    "b": (SOFT, "plum", "no pectin", "thanks", "my kitchen", "can't say"),
    "c": (BEANS, "nobody ate any", "hello", "the brine went cloudy"),
}


def line(text: str, chat: str = "me", at: datetime = TUESDAY_TEN) -> dict[str, Any]:
    return {"chat": chat, "at": at.isoformat(), "text": text}


def sent(*lines: dict[str, Any] | bytes, app: App | None = None) -> list[dict[str, Any]]:
    """What comes back for these lines, from one run."""
    given = b"".join((each if isinstance(each, bytes) else json.dumps(each).encode()) + b"\n" for each in lines)
    app, out = app or App(engine(), Store(MEMORY)), io.BytesIO()
    assert json_lines.run(io.BytesIO(given), out, app.answer, app.tick) == 0
    return [json.loads(each) for each in out.getvalue().splitlines()]


def words(reply: dict[str, Any]) -> int:
    return len(reply["text"].split())


def program(*options: str, given: str = "", seed: str = "0") -> str:
    """What the program prints, run as a process of its own."""
    run = [sys.executable, "-m", "bot", *options]
    env = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONUTF8": "1"}
    done = subprocess.run(run, cwd=ROOT, env=env, input=given, capture_output=True, encoding="utf-8", check=False)
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def as_lines(*lines: dict[str, Any]) -> str:
    return "".join(json.dumps(each) + "\n" for each in lines)


# -- every field, in every kind of reply --------------------------------------------------------------------------------
def moment(value: Any) -> bool:
    return isinstance(value, str) and datetime.fromisoformat(value).utcoffset() is not None


def moment_or_none(value: Any) -> bool:
    return value is None or moment(value)


VERDICT = {
    "jars": str,
    "outcome": set(OUTCOMES),
    "settled": bool,
    "until": moment_or_none,
    "start_by": moment_or_none,
    "because": [str],
    "worst": set(OUTCOMES),
}
REPLY = {
    "chat": str,
    "at": moment,
    "kind": KINDS,
    "problems": [str],
    "heard": [{"evidence": str, "answer": str, "certain": bool}],
    "verdicts": [VERDICT],
    "verdict": (VERDICT, None),
    "causes": [{"id": str, "says": str, "chance": float, "because": [str], "sources": [str]}],
    "fixes": [{"says": str, "when": {"now", "this-batch", "next-time"}, "until": moment_or_none, "sources": [str]}],
    "question": ({"evidence": str, "says": str, "why": str, "choices": [str]}, None),
    "done": bool,
    "pictures": [{"name": str, "alt": str}],
    "reminders": [{"at": moment, "says": str}],
    "text": str,
}


def misfits(value: Any, shape: Any, where: str = "") -> list[str]:
    """Where a value is not of its shape. More fields than those named are welcome."""
    if isinstance(shape, dict):
        if not isinstance(value, dict):
            return [where]
        missing = [f"{where}.{name}" for name in shape if name not in value]
        return missing + [bad for name in shape if name in value for bad in misfits(value[name], shape[name], f"{where}.{name}")]
    if isinstance(shape, list):
        if not isinstance(value, list):
            return [where]
        return [bad for n, each in enumerate(value) for bad in misfits(each, shape[0], f"{where}[{n}]")]
    if isinstance(shape, tuple):
        return [] if value is None else misfits(value, shape[0], where)
    if isinstance(shape, set):
        return [] if value in shape else [where]
    fits = isinstance(value, shape) if isinstance(shape, type) else shape(value)
    return [] if fits else [where]


def check(reply: dict[str, Any]) -> None:
    """All that holds for any reply to a message."""
    assert misfits(reply, REPLY) == []
    knowledge = engine().knowledge
    known = knowledge.sources.keys()
    assert set(reply["problems"]) <= {*knowledge.problems, *(rule.problem for rule in knowledge.rules.values()), "illness"}
    assert {heard["evidence"] for heard in reply["heard"]} <= knowledge.evidence.keys()
    verdict, verdicts, question = reply["verdict"], reply["verdicts"], reply["question"]
    assert verdict in verdicts if verdicts else verdict is None
    for each in verdicts:
        outcome, worst = OUTCOMES.index(each["outcome"]), OUTCOMES.index(each["worst"])
        assert outcome <= OUTCOMES.index(verdict["outcome"])
        assert each["settled"] or (outcome >= NOT_DECIDED and worst >= NOT_DECIDED)
        assert each["jars"] and set(each["because"]) <= knowledge.rules.keys() | knowledge.exceptions.keys()
    chances: dict[str, float] = defaultdict(float)
    for cause in reply["causes"]:
        chances[cause["problem"]] += cause["chance"]
        assert set(cause["because"]) <= knowledge.evidence.keys() and cause["sources"]
    assert all(total <= 1.001 for total in chances.values())
    assert [c["chance"] for c in reply["causes"]] == sorted((c["chance"] for c in reply["causes"]), reverse=True)
    for told in (*reply["causes"], *reply["fixes"]):
        assert {source.partition("#")[0] for source in told["sources"]} <= known
    if question is not None:
        assert not reply["done"] and question["says"] in reply["text"] and question["choices"]
        assert question["evidence"] in knowledge.evidence or reply["kind"] == "clarify"
    assert reply["text"].strip() and reply["text"] != engine().text("cant-assess")


@pytest.mark.parametrize(("text", "kind"), SAID.items())
def test_every_kind_of_reply_has_every_field_with_its_type(text: str, kind: str) -> None:
    (reply,) = sent(line(text))
    check(reply)
    assert reply["kind"] == kind


def test_all_kinds_of_reply_are_among_those_tried() -> None:
    assert set(SAID.values()) == KINDS


@pytest.mark.parametrize("chat", TALKS)
def test_every_reply_of_a_longer_talk_has_every_field_with_its_type(chat: str) -> None:
    for reply in talk_of(*TALKS[chat]).replies:
        check(reply)


@pytest.mark.parametrize("chat", TALKS)
def test_a_reply_that_does_not_tell_reasons_has_at_most_80_words(chat: str) -> None:
    replies = zip(TALKS[chat], talk_of(*TALKS[chat]).replies, strict=True)
    assert {text: words(reply) for text, reply in replies if words(reply) > MOST_WORDS and text != "why"} == {}


def test_a_clarifying_reply_offers_two_to_four_readings_and_takes_one_of_them() -> None:
    app = App(engine(), Store(MEMORY))
    (reply,) = sent(line("strawberry jam"), app=app)
    choices = reply["question"]["choices"]
    assert 2 <= len(choices) <= 4
    (chosen,) = sent(line(choices[0]), app=app)
    assert chosen["kind"] == "answer" and chosen["problems"]


def test_a_button_of_a_question_is_understood_as_its_answer() -> None:
    talk = talk_of(LID_UP, "strawberry jam")
    question = talk.replies[-1]["question"]
    reply = talk.say(question["choices"][0])
    assert question["evidence"] in {heard["evidence"] for heard in reply["heard"]}
    assert reply["question"] is None or reply["question"]["evidence"] != question["evidence"]


def test_a_pot_of_fruit_on_the_stove_is_no_safety_case() -> None:
    (reply,) = sent(line("no trail on the plate, strawberry jam still in the pot"))
    assert (reply["verdicts"], reply["verdict"]) == ([], None)


# -- lines that are no messages -----------------------------------------------------------------------------------------
def test_a_line_that_cannot_be_used_gets_an_error_and_the_run_goes_on() -> None:
    bad = [b"hello", b"{}", b'{"text": 5}', b'{"text": "hi", "at": "noon"}', b'{"text": "' + b"x" * 70_000 + b'"}']
    *errors, after = sent(*bad, line("help"))
    assert all(set(error) <= {"error", "chat", "at"} and error["error"].endswith(".") for error in errors)
    assert after["kind"] == "aside"


def test_a_tick_tells_what_fell_due_once_and_has_every_field() -> None:
    app = App(engine(), Store(MEMORY))
    talk = Talk(app=app)
    reply = talk.say("one of my six lids is still up, strawberry jam, jars came out at 9 this morning")
    (first, *_) = reply["reminders"]
    ticks = [{"chat": "me", "at": at, "tick": True} for at in (TUESDAY_TEN.isoformat(), first["at"], first["at"])]
    early, due, again = sent(*ticks, app=app)
    assert (early["text"], due["text"], again["text"]) == ("", first["says"], "")
    assert [misfits(each, REPLY) for each in (early, due, again)] == [[], [], []]


def test_a_reminder_is_told_to_the_person_it_was_set_for() -> None:
    app = App(engine(), Store(MEMORY))
    reply = Talk(app=app, chat="a").say("one of my six lids is still up, strawberry jam, jars came out at 9 this morning")
    late = (TUESDAY_TEN + timedelta(days=2)).isoformat()
    other, own = sent({"chat": "b", "at": late, "tick": True}, {"chat": "a", "at": late, "tick": True}, app=app)
    said = [each["says"] for each in reply["reminders"]]
    assert other["text"] == ""
    assert own["text"].split("\n")[: len(said)] == said
    assert "its time is past" in own["text"]


# -- one person's words never reach another -----------------------------------------------------------------------------
def interleaved(talks: dict[str, tuple[str, ...]]) -> list[dict[str, Any]]:
    longest = max(map(len, talks.values()))
    return [
        line(texts[n], chat, TUESDAY_TEN + timedelta(minutes=n)) for n in range(longest) for chat, texts in talks.items() if n < len(texts)
    ]


def test_interleaved_chats_get_the_replies_each_would_get_alone() -> None:
    together = sent(*interleaved(TALKS))
    for chat, texts in TALKS.items():
        assert [reply for reply in together if reply["chat"] == chat] == sent(*interleaved({chat: texts}))


def test_a_thousand_chats_in_one_run() -> None:
    alone = {chat: [reply["text"] for reply in sent(*interleaved({chat: texts[:2]}))] for chat, texts in TALKS.items()}
    kinds = list(TALKS)
    crowd = {f"{kinds[n % len(kinds)]}{n}": TALKS[kinds[n % len(kinds)]][:2] for n in range(1000)}
    told: dict[str, list[str]] = defaultdict(list)
    for reply in sent(*interleaved(crowd)):
        told[reply["chat"]].append(reply["text"])
    assert told == {chat: alone[chat[0]] for chat in crowd}


# -- the same words get the same reply ----------------------------------------------------------------------------------
def test_the_same_lines_get_the_same_replies() -> None:
    assert sent(*interleaved(TALKS)) == sent(*interleaved(TALKS))


def test_another_process_with_another_order_of_its_sets_says_the_same() -> None:
    given = as_lines(*interleaved(TALKS))
    one, other = (program("chat", "--json", "--store", MEMORY, given=given, seed=seed) for seed in ("1", "2"))
    assert [json.loads(each) for each in one.splitlines()] == sent(*interleaved(TALKS))
    assert one == other


@pytest.mark.parametrize("chat", TALKS)
def test_a_talk_is_taken_up_by_the_next_process_where_the_last_one_left_it(chat: str, tmp_path: Path) -> None:
    store = str(tmp_path / "kept.sqlite")
    lines = interleaved({chat: TALKS[chat]})
    halves = (lines[:2], lines[2:])
    told = "".join(program("chat", "--json", "--store", store, given=as_lines(*half)) for half in halves)
    assert [json.loads(each) for each in told.splitlines()] == sent(*lines)


def test_a_store_in_memory_keeps_nothing() -> None:
    lines = interleaved({"a": TALKS["a"]})
    second = program("chat", "--json", "--store", MEMORY, given=as_lines(lines[1]))
    assert json.loads(second) == sent(lines[1])[0] != sent(*lines[:2])[1]


def test_the_version_of_the_program_and_of_the_contract_are_printed() -> None:
    assert program("--version") == f"lidside {__version__}, conversation contract {CONTRACT}\n"


# -- whatever is typed --------------------------------------------------------------------------------------------------
RECIPE = """Strawberry Jam (makes 8 half pints)
4 cups crushed strawberries, 7 cups sugar, 1 box powdered pectin, 1/2 tsp butter (optional)
1. Wash and hull the berries. Crush them one layer at a time. Measure exactly 5 cups into a 6-quart pot.
2. Stir in the pectin. Bring to a full rolling boil that cannot be stirred down, stirring all the time.
3. Add the sugar at once. Return to a full rolling boil and boil exactly 1 minute. Skim off any foam.
4. Ladle into hot jars, leaving 1/4 inch headspace. Wipe rims, put on lids and bands. Process 10 minutes."""
ODD = {
    "nothing": "",
    "white space": " \t\n ",
    "one sign": "?",
    "emoji": "\N{STRAWBERRY}\N{FACE WITH OPEN MOUTH AND COLD SWEAT}\N{FREEZING FACE}",
    "60 KB of one letter": "x" * 60_000,
    "60 KB of words": "the lid popped up and the jam is runny " * 1_540,
    "60 KB of numbers": "12 34/5 6.7 " * 5_000,
    "60 KB of brackets": "([{" * 20_000,
    "control characters": "\x00\x07\x1b[2J\x08 lid \x7f\u202e\u200f up",
    "Spanish": "La mermelada no ha cuajado y las tapas están sueltas",
    "German": "Meine Marmelade ist nicht fest geworden",
    "Chinese": "\u679c\u9171\u6ca1\u6709\u51dd\u56fa",
    "Arabic": "\u0627\u0644\u0645\u0631\u0628\u0649 \u0644\u0645 \u064a\u062a\u062c\u0645\u062f",
    "an insult": "you are a useless stupid idiot bot",
    "a worse insult": "shut up you piece of shit",
    "a recipe": RECIPE,
    "JSON": '{"text": "my jam is runny", "chat": "x", "at": "2026-07-14T10:00:00-05:00"}',
    "broken JSON": '{"text": [[[',
    "SQL": "'; DROP TABLE turns; --",
    "a template": "{until} {jars} {{7*7}} %s %(name)s ${HOME}",
    "a web address": "https://example.org/jam?id=1",
    "combining marks": "j" + "\u0301" * 500 + "am",
    "half a character": "\ud83d",
    "a great number": "9" * 4_000 + " minutes",
    "no such time": "made it at 99:99 on the 31st of February",
    "thousands of noughts": "1/0 0/0 -5 jars, -10 minutes, 0 ft",
}  # fmt: skip


@pytest.mark.parametrize("text", ODD.values(), ids=ODD)
@pytest.mark.parametrize("before", [(), (LID_UP,), (BEANS,), (SOFT, "plum")], ids=["first", "lid up", "beans", "soft"])
def test_whatever_is_typed_gets_a_short_sentence(text: str, before: tuple[str, ...], caplog: pytest.LogCaptureFixture) -> None:
    talk = talk_of(*before)
    with caplog.at_level(logging.ERROR):
        reply = talk.say(text)
    check(reply)
    assert caplog.records == []
    assert words(reply) <= MOST_WORDS and reply["text"].rstrip()[-1] in ".?\""


@pytest.mark.parametrize("text", ODD.values(), ids=ODD)
def test_whatever_is_typed_gives_no_jar_back(text: str) -> None:
    talk = talk_of(BEANS)
    talk.say(text)
    verdict = talk.say("can I eat them now?")["verdict"]
    assert verdict is None or verdict["outcome"] == talk.replies[0]["verdict"]["outcome"]
    assert talk.say("they were in a plain boiling water bath")["verdict"]["outcome"] == "discard-hazard"


def test_a_message_of_60_kb_is_answered_from_its_beginning_and_says_so() -> None:
    (reply,) = sent(line(LID_UP + ". " + "And so on. " * 5_400))
    assert reply["problems"] == ["unsealed-lid"] and engine().text("too-long") in reply["text"]
