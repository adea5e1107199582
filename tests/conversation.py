"""Talks to lidside as a script would: one JSON object a line in, one a line out, over the real channel and a store in memory."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import cache
from typing import Any

from bot.app import App
from bot.channels import json_lines
from bot.engine.turn import Engine
from bot.library import load
from bot.store import MEMORY, Store

TUESDAY_TEN = datetime.fromisoformat("2026-07-14T10:00:00-05:00")


@cache
def engine() -> Engine:
    return Engine(load())


class Talk:
    """One person's conversation; each message is sent a minute after the last one unless told otherwise."""

    def __init__(self, at: datetime = TUESDAY_TEN, app: App | None = None, chat: str = "me") -> None:
        self.app = app or App(engine(), Store(MEMORY))
        self.now, self.chat = at, chat
        self.replies: list[dict[str, Any]] = []

    def say(self, text: str, later: timedelta = timedelta(minutes=1)) -> dict[str, Any]:
        line = json.dumps({"chat": self.chat, "text": text, "at": self.now.isoformat()}).encode()
        out = io.BytesIO()
        assert json_lines.run(io.BytesIO(line + b"\n"), out, self.app.answer, self.app.tick) == 0
        self.now += later
        reply: dict[str, Any] = json.loads(out.getvalue())
        self.replies.append(reply)
        return reply

    def until_done(self, answers: dict[str, str], default: str = "can't say", most: int = 12) -> dict[str, Any]:
        """Answer questions from known facts until nothing more is asked; gives the last reply."""
        reply = self.replies[-1]
        while reply["question"] is not None and len(self.replies) <= most:
            reply = self.say(answers.get(reply["question"]["evidence"], default))
        return reply

    @property
    def asked(self) -> list[str]:
        return [r["question"]["evidence"] for r in self.replies if r["question"]]


def first_line(reply: dict[str, Any]) -> str:
    text: str = reply["text"]
    return text.split("\n")[0]


def talk_of(*messages: str) -> Talk:
    talk = Talk()
    for message in messages:
        talk.say(message)
    return talk


Answer = Callable[[str], dict[str, Any]]
