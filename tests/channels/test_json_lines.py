"""JSON lines: one object in, one object out, in order and at once; a bad line is answered too and ends nothing."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from bot.channels.json_lines import LONGEST, run
from bot.engine.reply import Reply

ROOT = Path(__file__).resolve().parents[2]
AT = "2026-08-01T09:00:00+02:00"
NOON = datetime(2026, 8, 1, 12, tzinfo=UTC)


def echo(chat: str, text: str, at: datetime) -> Reply:
    return Reply("answer", (f"{chat}|{text}|{at.isoformat()}",))


def bell(chat: str, at: datetime) -> Reply:
    return Reply("aside", (f"due for {chat} by {at.isoformat()}",) if chat == "waiting" else ())


def converse(*lines: bytes | dict[str, Any] | str) -> list[dict[str, Any]]:
    sent = b"".join((line if isinstance(line, bytes) else json.dumps(line).encode()) + b"\n" for line in lines)
    out = io.BytesIO()
    assert run(io.BytesIO(sent), out, echo, bell, now=lambda: NOON) == 0
    return [json.loads(line) for line in out.getvalue().splitlines()]


def test_each_line_is_answered_in_order_with_chat_and_time_as_given() -> None:
    sent = [{"text": f"message {n}", "chat": f"c{n % 3}", "at": AT} for n in range(20)]
    answers = converse(*sent)
    assert [(a["chat"], a["at"], a["text"]) for a in answers] == [
        (s["chat"], AT, f"{s['chat']}|{s['text']}|{AT}") for s in sent
    ]


def test_the_time_is_echoed_in_the_spelling_it_came_in() -> None:
    (answer,) = converse({"text": "hi", "at": "20260801T090000Z"})
    assert answer["at"] == "20260801T090000Z" and answer["text"].endswith("2026-08-01T09:00:00+00:00")


def test_chat_and_time_may_be_left_out() -> None:
    (answer,) = converse({"text": "hi"})
    assert answer["text"] == f"me|hi|{NOON.isoformat()}"
    assert (answer["chat"], answer["at"]) == ("me", NOON.isoformat())


def test_without_a_clock_of_its_own_the_run_takes_the_time_with_its_offset() -> None:
    out = io.BytesIO()
    run(io.BytesIO(b'{"text": "hi"}\n'), out, echo, bell)
    assert datetime.fromisoformat(json.loads(out.getvalue())["at"]).utcoffset() is not None


def test_a_tick_gives_what_fell_due_or_an_empty_reply() -> None:
    rung, silent = converse({"chat": "waiting", "at": AT, "tick": True}, {"chat": "b", "at": AT, "tick": True})
    assert rung["text"] == f"due for waiting by {AT}"
    assert (silent["text"], silent["chat"]) == ("", "b")


def test_a_tick_that_is_not_true_is_no_tick() -> None:
    said, bad = converse({"text": "hi", "tick": False}, {"tick": 1})
    assert said["text"].startswith("me|hi|") and "`text`" in bad["error"]


@pytest.mark.parametrize(
    ("line", "part"),
    [
        (b"", "JSON object"),
        (b"hello", "JSON object"),
        (b'{"text": "hi"', "JSON object"),
        (b'["text"]', "JSON object"),
        (b"null", "JSON object"),
        (b"[" * 60_000, "JSON object"),
        (b'{"text": ' + b"9" * 5000 + b"}", "JSON object"),
        (b'{"text": "\xff"}', "UTF-8"),
        ('{"text": "hi"}'.encode("utf-16"), "UTF-8"),
        ({}, "`text`"),
        ({"text": None}, "`text`"),
        ({"text": 5}, "`text`"),
        ({"text": "hi", "chat": 5}, "`chat`"),
        ({"text": "hi", "chat": None}, "`chat`"),
        (b'{"text": "hi", "chat": "\\ud800"}', "`chat`"),
        ({"text": "hi", "at": "yesterday"}, "`at`"),
        ({"text": "hi", "at": ""}, "`at`"),
        ({"text": "hi", "at": None}, "`at`"),
        ({"text": "hi", "at": 1785571200}, "`at`"),
        ({"text": "hi", "at": "2026-08-01"}, "`at`"),
        ({"text": "hi", "at": "2026-08-01T09:00:00"}, "`at`"),
        ({"text": "hi", "at": "2026-02-30T09:00:00Z"}, "`at`"),
        ({"text": "hi", "at": "0001-01-01T00:00:00+14:00"}, "`at`"),
        ({"text": "hi", "at": "9999-12-31T23:59:59-12:00"}, "`at`"),
        ({"text": "hi", "tick": True}, '"tick"'),
    ],
)
def test_a_bad_line_is_answered_with_what_to_do_and_the_run_goes_on(line: bytes | dict[str, Any], part: str) -> None:
    bad, good = converse(line, {"text": "still there?"})
    assert part in bad["error"] and bad["error"].endswith(".") and "\n" not in bad["error"]
    assert set(bad) <= {"error", "chat", "at"}
    assert good["text"].startswith("me|still there?|")


def test_an_error_says_whose_line_it_was_where_that_is_known() -> None:
    answers = converse(
        {"chat": "c", "at": AT},
        {"chat": "c", "at": "soon", "text": "hi"},
        {"chat": 5, "at": AT, "text": "hi"},
        {"chat": "c", "text": 5},
    )
    for answer in answers:
        del answer["error"]
    assert answers == [
        {"chat": "c", "at": AT},
        {"chat": "c", "at": "soon"},
        {"at": AT},
        {"chat": "c", "at": NOON.isoformat()},
    ]


def padded(size: int) -> bytes:
    return b'{"text": "' + b"x" * (size - 12) + b'"}'


@pytest.mark.parametrize("end", [b"", b"\r"])
def test_64_kib_is_the_longest_line_whatever_its_end(end: bytes) -> None:
    whole, over, after = converse(padded(LONGEST) + end, padded(LONGEST + 1) + end, {"text": "next"})
    assert "error" not in whole and "shorter" in over["error"] and after["text"].startswith("me|next|")


@pytest.mark.parametrize("size", [LONGEST + 1, LONGEST + 2, LONGEST + 3, 2 * LONGEST + 2, 5 * LONGEST])
def test_an_oversized_last_line_without_an_end_is_answered_once(size: int) -> None:
    out = io.BytesIO()
    run(io.BytesIO(padded(size)), out, echo, bell)
    assert [set(json.loads(line)) for line in out.getvalue().splitlines()] == [{"error"}]


def test_no_more_than_one_line_length_is_ever_asked_for_at_once() -> None:
    asked: list[int] = []

    class Watched(io.BytesIO):
        def readline(self, size: int | None = -1, /) -> bytes:
            asked.append(-1 if size is None else size)
            return super().readline(size)

    run(Watched(padded(40 * LONGEST) + b'\n{"text": "hi"}'), io.BytesIO(), echo, bell)
    assert min(asked) > 0 and max(asked) <= LONGEST + 2


def test_windows_line_ends_a_byte_order_mark_and_a_missing_last_line_end_are_fine() -> None:
    out = io.BytesIO()
    run(io.BytesIO(b'\xef\xbb\xbf{"text": "one"}\r\n{"text": "two"}'), out, echo, bell)
    assert [json.loads(line)["text"].split("|")[1] for line in out.getvalue().splitlines()] == ["one", "two"]


def test_each_answer_is_flushed_before_the_next_line_is_read() -> None:
    class Flushed(io.BytesIO):
        seen = 0

        def flush(self) -> None:
            self.seen = self.getvalue().count(b"\n")

    out = Flushed()

    def counting(chat: str, text: str, at: datetime) -> Reply:
        assert out.seen == int(text)
        return Reply("answer", ("ok",))

    run(io.BytesIO(b"".join(b'{"text": "%d"}\n' % n for n in range(5))), out, counting, bell)
    assert out.seen == 5


def test_signs_beyond_ascii_stay_readable_and_half_a_character_does_no_harm() -> None:
    out = io.BytesIO()
    run(io.BytesIO('{"text": "½ °F"}\n{"text": "\\ud83d!"}\n{"text": "", "at": "\\ud83d"}\n'.encode()), out, echo, bell)
    whole, half, bad = out.getvalue().splitlines()
    assert "½ °F".encode() in whole
    assert json.loads(half)["text"].split("|")[1] == "\ufffd!"
    assert json.loads(bad)["at"] == "\ud83d"


PIPED = """
import sys
from bot.channels.json_lines import run
from bot.engine.reply import Reply
def answer(chat, text, at):
    return Reply("answer", (text,))
raise SystemExit(run(sys.stdin.buffer, sys.stdout.buffer, answer, lambda chat, at: Reply("aside", ())))
"""


def piped() -> subprocess.Popen[bytes]:
    pipe = subprocess.PIPE
    return subprocess.Popen([sys.executable, "-c", PIPED], cwd=ROOT, stdin=pipe, stdout=pipe, stderr=pipe)


def test_through_a_pipe_an_answer_comes_while_the_input_is_still_open() -> None:
    process = piped()
    assert process.stdin and process.stdout
    for n in range(3):
        process.stdin.write(b'{"text": "%d"}\n' % n)
        process.stdin.flush()
        assert json.loads(process.stdout.readline())["text"] == str(n)
    process.stdin.close()
    assert process.wait() == 0


def test_a_reader_that_goes_away_ends_the_run_without_a_word() -> None:
    process = piped()
    assert process.stdin and process.stdout and process.stderr
    process.stdout.close()
    process.stdin.write(b'{"text": "hi"}\n')
    process.stdin.flush()
    assert process.wait() == 0 and process.stderr.read() == b""


def test_a_message_is_not_swallowed_when_the_answering_fails() -> None:
    def failing(chat: str, text: str, at: datetime) -> Reply:
        raise BrokenPipeError("of something else")

    with pytest.raises(BrokenPipeError):
        run(io.BytesIO(b'{"text": "hi"}\n'), io.BytesIO(), failing, bell)
