"""The terminal chat through a pipe: what is said, what is passed on, and nothing that only a screen wants."""

from __future__ import annotations

import io
import re
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.channels.terminal import run
from bot.engine.reply import Question, Reply

ROOT = Path(__file__).resolve().parents[2]
NOON = datetime(2026, 8, 1, 12, tzinfo=UTC)
NOTHING = Reply("aside", ())
LONG = "Leave the lids alone until they have gone quite cold, which may well take twelve hours or a little more. " * 3


def question(*choices: str) -> Question:
    return Question("seen", "What do you see?", "", choices)


class Bot:
    """Answers with what it was told, and offers three choices when asked to."""

    def __init__(self, *due: str) -> None:
        self.heard: list[str] = []
        self.due = list(due)

    def answer(self, chat: str, text: str, at: datetime) -> Reply:
        self.heard.append(text)
        asked = question("dished down", "flat", "can't say") if text == "ask" else None
        return Reply("answer", (f"Heard: {text}",), question=asked)

    def tick(self, chat: str, at: datetime) -> Reply:
        return Reply("aside", (self.due.pop(0),)) if self.due else NOTHING


def piped(bot: Bot, typed: str, greeting: str = "") -> str:
    out = io.StringIO()
    assert run(bot.answer, bot.tick, lambda: NOON, io.StringIO(typed), out, greeting=greeting) == 0
    return out.getvalue()


def test_through_a_pipe_there_are_plain_lines_and_no_prompt() -> None:
    assert piped(Bot(), "one\n\n  two  ", "Hello.") == "Hello.\n\nHeard: one\n\nHeard: two\n\n"


def test_through_a_pipe_a_paragraph_stays_one_line() -> None:
    assert f"Heard: {LONG.strip()}\n" in piped(Bot(), LONG)


def test_choices_are_numbered_one_a_line() -> None:
    assert "Heard: ask\n1) dished down\n2) flat\n3) can't say\n" in piped(Bot(), "ask\n")


@pytest.mark.parametrize(
    ("typed", "sent"),
    [("2", "flat"), (" 2) ", "flat"), ("3.", "can't say"), ("0", "0"), ("4", "4"), ("2 jars", "2 jars"), ("-1", "-1")],
)
def test_a_bare_number_sends_the_label_of_its_choice_and_anything_else_goes_as_typed(typed: str, sent: str) -> None:
    bot = Bot()
    piped(bot, f"ask\n{typed}\n")
    assert bot.heard == ["ask", sent]


def test_a_number_is_a_choice_only_while_choices_are_offered() -> None:
    bot = Bot()
    piped(bot, "2\nask\n2\n2\n")
    assert bot.heard == ["2", "ask", "flat", "2"]


def test_choices_of_a_reply_without_a_question_can_be_picked_too() -> None:
    heard: list[str] = []

    def answer(chat: str, text: str, at: datetime) -> Reply:
        heard.append(text)
        return Reply("clarify", ("Which one?",), choices=("this", "that"))

    run(answer, Bot().tick, lambda: NOON, io.StringIO("hm\n2\n"), io.StringIO())
    assert heard == ["hm", "that"]


def test_commands_and_very_long_lines_are_passed_on_as_typed() -> None:
    bot = Bot()
    piped(bot, f"/forget me\n{'x' * 50_000}\n")
    assert bot.heard == ["/forget me", "x" * 50_000]


def test_reminders_are_shown_at_the_start_and_before_a_reply() -> None:
    assert piped(Bot("first", "second"), "one\ntwo\n") == "first\n\nsecond\n\nHeard: one\n\nHeard: two\n\n"


def test_a_reminder_on_an_empty_line_leaves_the_choices_open() -> None:
    bot = Bot()
    ticks = iter([NOTHING, NOTHING, Reply("aside", ("Time to look.",)), NOTHING])
    out = io.StringIO()
    run(bot.answer, lambda chat, at: next(ticks), lambda: NOON, io.StringIO("ask\n\n2\n"), out)
    assert bot.heard == ["ask", "flat"] and "Time to look." in out.getvalue()


def test_the_timers_that_run_are_listed_at_the_start_behind_what_fell_due() -> None:
    bot = Bot("first")
    listed = Reply("aside", ("Running:", "plate: 2 min, until 12:02"))
    out = io.StringIO()
    run(bot.answer, bot.tick, lambda: NOON, io.StringIO("one\n"), out, running=lambda chat, at: listed)
    assert out.getvalue() == "first\n\nRunning:\nplate: 2 min, until 12:02\n\nHeard: one\n\n"


RINGS = """
import sys
from datetime import datetime, UTC
from bot.channels.terminal import run
from bot.engine.reply import Reply
looks = []
def tick(chat, at):
    looks.append(at)
    return Reply("aside", ("Time is up.",) if len(looks) == 2 else ())
def answer(chat, text, at):
    return Reply("answer", (text,))
raise SystemExit(run(answer, tick, lambda: datetime.now(UTC), sys.stdin, sys.stdout, every=0.01))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no interval timer: there it is told with the next line")
def test_through_a_pipe_what_falls_due_is_told_while_a_line_is_awaited() -> None:
    pipe = subprocess.PIPE
    process = subprocess.Popen([sys.executable, "-c", RINGS], cwd=ROOT, stdin=pipe, stdout=pipe, text=True)
    assert process.stdin and process.stdout
    assert process.stdout.readline() == "Time is up.\n"
    process.stdin.write("one\n")
    process.stdin.close()
    assert process.stdout.read() == "\none\n\n" and process.wait() == 0
    process.stdout.close()


def test_nothing_in_a_message_can_steer_the_terminal() -> None:
    shown = piped(Bot(), "a\x1b[2Jb\x07\x9bc\u202ed\te\n")
    assert "Heard: a[2Jbcd" in shown and not re.search(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e]", shown)


@pytest.mark.parametrize(
    ("encoding", "shown"),
    [
        ("ascii", "203 deg F - 2 1/2 or 1/2 x 3... 'so' cafe >= ?"),
        ("latin-1", "203 °F - 2½ or ½ × 3... 'so' café >= ?"),
        ("utf-8", "203 °F – 2½ or ½ × 3… ‘so’ café ≥ \U0001f600"),
    ],
)
def test_signs_that_a_console_lacks_are_spelt_out(encoding: str, shown: str) -> None:
    reply = Reply("answer", ("203 °F – 2½ or ½ × 3… ‘so’ café ≥ \U0001f600",))
    raw = io.BytesIO()
    out = io.TextIOWrapper(raw, encoding=encoding)
    run(lambda chat, text, at: reply, Bot().tick, lambda: NOON, io.StringIO("x\n"), out)
    assert raw.getvalue().decode(encoding) == shown + "\n\n"


def test_bytes_that_are_not_text_do_not_end_the_chat() -> None:
    bot = Bot()
    typed = io.TextIOWrapper(io.BytesIO(b"one \xff\ntwo\n"), encoding="utf-8")
    run(bot.answer, bot.tick, lambda: NOON, typed, io.StringIO())
    assert bot.heard == ["one \ufffd", "two"]


SCRIPT = """
import sys
from datetime import datetime, UTC
from bot.channels.terminal import run
from bot.engine.reply import Reply
def answer(chat, text, at):
    return Reply("answer", (text,))
raise SystemExit(run(answer, lambda chat, at: Reply("aside", ()), lambda: datetime.now(UTC), sys.stdin, sys.stdout))
"""


def test_a_reader_that_goes_away_ends_the_chat_without_a_word() -> None:
    pipe = subprocess.PIPE
    process = subprocess.Popen([sys.executable, "-c", SCRIPT], cwd=ROOT, stdin=pipe, stdout=pipe, stderr=pipe)
    assert process.stdin and process.stdout and process.stderr
    process.stdout.close()
    process.stdin.write(b"one\ntwo\n")
    process.stdin.close()
    assert process.wait() == 0 and process.stderr.read() == b""
