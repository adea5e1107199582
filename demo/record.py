"""python -m demo.record: play the messages of scripts.yaml and keep what was sent and answered, as JSON and as text."""

from __future__ import annotations

import io
import json
import sys
import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import yaml

from bot.app import App
from bot.channels import json_lines
from bot.engine.turn import Engine
from bot.library import load
from bot.store import MEMORY, Store

FOLDER = Path(__file__).parent
WIDTH = 100

Object = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Script:
    """One conversation: its messages as they are sent to the JSON channel."""

    name: str
    title: str
    lines: tuple[Object, ...]


@dataclass(frozen=True, slots=True)
class Exchange:
    """One line sent and the line answered."""

    sent: Object
    answered: Object


def scripts() -> list[Script]:
    """All conversations in the order of the file. Every scalar is text, as in the knowledge."""
    text = (FOLDER / "scripts.yaml").read_text("utf-8")
    found: dict[str, Any] = yaml.load(text, Loader=yaml.BaseLoader)
    return [
        Script(name, each["title"], tuple(_line(each["chat"], turn) for turn in each["turns"]))
        for name, each in found.items()
    ]


def _line(chat: str, turn: Object) -> Object:
    return {"chat": chat, "at": turn["at"], "text": turn["says"]}


def play(lines: Iterable[Object], engine: Engine | None = None) -> list[Exchange]:
    """Send the lines through the JSON channel, in one run with a store in memory."""
    app, out = App(engine or Engine(load()), Store(MEMORY)), io.BytesIO()
    sent = list(lines)
    given = "".join(json.dumps(line, ensure_ascii=False) + "\n" for line in sent)
    json_lines.run(io.BytesIO(given.encode()), out, app.answer, app.tick)
    answers = [json.loads(line) for line in out.getvalue().splitlines()]
    return [Exchange(*pair) for pair in zip(sent, answers, strict=True)]


def as_lines(exchanges: Iterable[Exchange]) -> str:
    """The recording: one line for each turn."""
    pairs = ({"sent": each.sent, "answered": each.answered} for each in exchanges)
    return "".join(json.dumps(pair, ensure_ascii=False) + "\n" for pair in pairs)


def from_lines(recording: str) -> list[Exchange]:
    """A recording as it was written by `as_lines`."""
    return [Exchange(**json.loads(line)) for line in recording.splitlines()]


def as_text(title: str, exchanges: Iterable[Exchange]) -> str:
    """The conversation to read: when, what was typed, what was answered, which buttons were offered."""
    parts = [f"{title}\n{'=' * len(title)}"]
    for each in exchanges:
        at = datetime.fromisoformat(each.sent["at"])
        typed = textwrap.fill(each.sent["text"], WIDTH, initial_indent="> ", subsequent_indent="> ")
        parts.append("\n".join([f"{at:%A} {at.day} {at:%B %Y, %H:%M}", typed, "", *_told(each.answered)]))
    return "\n\n".join(parts) + "\n"


def _told(answered: Object) -> Iterator[str]:
    for paragraph in answered["text"].split("\n"):
        yield textwrap.fill(paragraph, WIDTH)
    if answered["question"]:
        buttons = " / ".join(answered["question"]["choices"])
        yield textwrap.fill(buttons, WIDTH, initial_indent="  ", subsequent_indent="  ")


def files(script: Script, exchanges: list[Exchange]) -> dict[Path, str]:
    """What the recorder writes for one conversation."""
    return {
        FOLDER / f"{script.name}.jsonl": as_lines(exchanges),
        FOLDER / f"{script.name}.txt": as_text(script.title, exchanges),
    }


def main() -> int:
    """Record every conversation, name the files that changed, and remove those of conversations that are gone."""
    engine = Engine(load())
    wanted = {path: text for each in scripts() for path, text in files(each, play(each.lines, engine)).items()}
    for path in sorted({*FOLDER.glob("*.jsonl"), *FOLDER.glob("*.txt")} - set(wanted)):
        path.unlink()
        print(f"{path.name} removed")
    for path, text in wanted.items():
        if not path.exists() or path.read_text("utf-8") != text:
            path.write_text(text, "utf-8", newline="\n")
            print(path.name)
    return 0


if __name__ == "__main__":
    sys.exit(main())
