"""The conversation as JSON lines: one object a line in, one object a line out, in the same order, flushed at once.

The fields are described in README.md. A line that cannot be used gets an object with `error`, and the run goes on.
"""

from __future__ import annotations

import errno
import json
import os
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from typing import Any, BinaryIO

from bot.engine.reply import Reply, as_json

LONGEST = 64 * 1024  # bytes of a line, its line end not counted
OURSELVES = "me"  # the chat of a line that names none
GONE = (errno.EPIPE, errno.EINVAL)  # what a closed pipe says on write; the second one on Windows
_YEARS = range(1900, 2200)  # leaves room for sums with the date at both ends of the calendar

_TOO_LONG = f"The line is over {LONGEST} bytes: send a shorter message."
_NOT_UTF8 = "The line is not UTF-8 text: send it encoded as UTF-8."
_NOT_OBJECT = 'The line is not a JSON object: send one such as {"text": "…"} on a line of its own.'
_CHAT = "`chat` must be a string: send one, or leave it out."
_AT = "`at` must be a date and time with its offset, such as 2026-08-01T09:30:00+02:00: send one, or leave it out."
_TEXT = "`text` must be a string: send what the person typed."
_BOTH = 'A line with "tick": true carries no words: send `text` on a line of its own.'


class _BadLine(Exception):
    """The sentence that says what is wrong with a line and what to send instead."""


def _now() -> datetime:
    return datetime.now().astimezone()


def run(
    stdin_binary: BinaryIO,
    stdout_binary: BinaryIO,
    answer: Callable[[str, str, datetime], Reply],
    tick: Callable[[str, datetime], Reply],
    now: Callable[[], datetime] = _now,
) -> int:
    """Answer line by line until the input ends; gives the exit status."""
    for line in _lines(stdin_binary):
        known: dict[str, Any] = {}
        try:
            said = _object(line)
            # Echoed as they came, in an error too, so that whoever reads the answers can tell which line it was.
            known = {field: said[field] for field in ("chat", "at") if isinstance(said.get(field), str)}
            chat = _chat(said)
            at = _at(said) if "at" in said else now()
            known = {"chat": chat, "at": said.get("at", at.isoformat())}
            text = _text(said)
            reply = tick(chat, at) if text is None else answer(chat, text, at)
            out = as_json(reply, **known)
        except _BadLine as bad:
            out = {**known, "error": str(bad)}
        try:
            stdout_binary.write(_encoded(out) + b"\n")
            stdout_binary.flush()
        except OSError as error:
            if error.errno not in GONE:
                raise
            let_go(stdout_binary)
            break
    return 0


def _lines(stream: BinaryIO) -> Iterator[bytes | None]:
    """Each line without its end; None for one that is too long, which is read to its end but never held as a whole."""
    while line := stream.readline(LONGEST + 2):  # room for "\r\n"
        ended = line.endswith(b"\n")
        line = line.removesuffix(b"\n").removesuffix(b"\r")
        if len(line) <= LONGEST:
            yield line
            continue
        while not ended and (rest := stream.readline(LONGEST)):
            ended = rest.endswith(b"\n")
        yield None


def _object(line: bytes | None) -> dict[str, Any]:
    if line is None:
        raise _BadLine(_TOO_LONG)
    try:
        said = json.loads(line.decode("utf-8-sig"))  # some programs put a byte order mark in front
    except UnicodeDecodeError:
        raise _BadLine(_NOT_UTF8) from None
    except (ValueError, RecursionError):  # the second for thousands of brackets
        raise _BadLine(_NOT_OBJECT) from None
    if not isinstance(said, dict):
        raise _BadLine(_NOT_OBJECT)
    return said


def _chat(said: dict[str, Any]) -> str:
    chat = said.get("chat", OURSELVES)
    # Half of a surrogate pair is JSON but not text: it can neither be stored nor told apart from another half.
    if not isinstance(chat, str) or chat != _whole(chat):
        raise _BadLine(_CHAT)
    return chat


def _at(said: dict[str, Any]) -> datetime:
    try:
        at = datetime.fromisoformat(said["at"])
        if at.utcoffset() is None or at.astimezone(UTC).year not in _YEARS:
            raise _BadLine(_AT)
    except (TypeError, ValueError, OverflowError):
        raise _BadLine(_AT) from None
    return at


def _text(said: dict[str, Any]) -> str | None:
    """The words, or None for a line that only asks what fell due."""
    text = said.get("text")
    if said.get("tick") is True:
        if "text" in said:
            raise _BadLine(_BOTH)
        return None
    if not isinstance(text, str):
        raise _BadLine(_TEXT)
    return _whole(text)


def _whole(text: str) -> str:
    """The text with every half of a surrogate pair replaced by the sign for an unreadable character."""
    return text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def _encoded(out: dict[str, Any]) -> bytes:
    try:
        return json.dumps(out, ensure_ascii=False).encode()
    except UnicodeEncodeError:  # half a surrogate pair, echoed: escaped, as it came
        return json.dumps(out).encode()


def let_go(stream: Any) -> None:
    """Nobody reads this stream any more. What is still in its buffer goes nowhere, without a complaint at exit."""
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
    except (OSError, ValueError, AttributeError):  # not a file of the system
        pass
