"""The printed examples of README.md: where each stands, and what it prints when it is run again.

A ```console or ```text block under `<!-- output of: COMMAND -->` is what COMMAND prints. A ```text block under
`<!-- proved by: COMMAND -->` is that too, but takes a minute: its lines are held against the run by tests/engine/test_proof.py. One
under `<!-- conversation: at=2026-07-14T10:00:00-05:00 -->` is a conversation that begins at that moment: lines that start with
"> " are typed, the lines after them are the reply, and a blank line stands between one turn and the next.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from pathlib import Path

from tests.conversation import Talk
from tests.house.checkout import ROOT

README = ROOT / "README.md"
TYPED = "> "
LANGUAGES = {"output of": ("console", "text"), "proved by": ("text",), "conversation": ("text",)}
_COMMENT = re.compile(r"<!-- (output of|proved by|conversation): (.+) -->")
_FENCE = re.compile(r"```(\w*)")
_HOMES = ("HOME", "USERPROFILE", "LOCALAPPDATA", "XDG_CACHE_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME")


@dataclass(frozen=True)
class Fenced:
    """A fenced block: `start` to `stop` are its lines without the fences, counted from 0."""

    language: str
    start: int
    stop: int
    text: str


@dataclass(frozen=True)
class Example:
    """A fenced block with the comment above it that says how to print it again."""

    kind: str
    told: str
    block: Fenced

    def printed(self) -> str:
        """What it shows when it is run now."""
        return conversation(self.told, self.block.text) if self.kind == "conversation" else output_of(self.told)

    def __str__(self) -> str:
        return f"README.md:{self.block.start - 1}: {self.kind}: {self.told}"


def fenced(text: str) -> Iterator[Fenced]:
    """Every fenced block, in order; raises ValueError for one without an end."""
    lines = text.split("\n")
    language, start = "", 0  # 0: not in a block
    for number, line in enumerate(lines):
        if start and line == "```":
            yield Fenced(language, start, number, "\n".join(lines[start:number]))
            start = 0
        elif not start and (fence := _FENCE.fullmatch(line)):
            language, start = fence[1], number + 1
    if start:
        raise ValueError(f"line {start}: this block has no end")


def examples(text: str) -> list[Example]:
    """All that can be run again, in order; raises ValueError for a comment without a block of its kind right below it."""
    blocks = list(fenced(text))
    below = {block.start - 2: block for block in blocks}
    inside = {number for block in blocks for number in range(block.start, block.stop)}
    found = []
    for number, line in enumerate(text.split("\n")):
        comment = _COMMENT.fullmatch(line)
        if comment and number not in inside:
            if number not in below or below[number].language not in LANGUAGES[comment[1]]:
                raise ValueError(f"line {number + 1}: no block that can be printed again stands right below this comment")
            found.append(Example(comment[1], comment[2], below[number]))
    return found


def refreshed(text: str) -> str:
    """The same text with every example as it is printed today."""
    lines = text.split("\n")
    for example in reversed(examples(text)):
        lines[example.block.start : example.block.stop] = example.printed().split("\n")
    return "\n".join(lines)


def output_of(command: str) -> str:
    """What a command prints, errors included, 80 columns wide and in a home that is empty at first."""
    shell = not re.match("python3? ", command)
    with tempfile.TemporaryDirectory() as home:
        env = {**os.environ, **dict.fromkeys(_HOMES, home), "COLUMNS": "80", "NO_COLOR": "1", "PYTHONUTF8": "1"}
        env["PATH"] = os.pathsep.join((str(Path(sys.executable).parent), env.get("PATH", "")))
        run = command if shell else [sys.executable, *shlex.split(command)[1:]]
        done = subprocess.run(
            run, shell=shell, cwd=ROOT, env=env, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False
        )
    return done.stdout.decode().rstrip("\n").replace("\r\n", "\n")


def conversation(told: str, shown: str) -> str:
    """The same messages typed again, the first one at the moment told, each with today's reply."""
    at = re.fullmatch(r"at=(\S+)", told)
    if at is None:
        raise ValueError(f"conversation: {told}: say when it begins, such as at=2026-07-14T10:00:00-05:00")
    talk = Talk(datetime.fromisoformat(at[1]))
    turns = []
    for message in messages(shown):
        typed = [TYPED + line for line in message.split("\n")]
        turns.append("\n".join([*typed, talk.say(message)["text"]]))
    return "\n\n".join(turns)


def messages(shown: str) -> list[str]:
    """What is typed in a conversation; lines typed right under one another are one message."""
    found: list[str] = []
    for above, line in pairwise(["", *shown.split("\n")]):
        if line.startswith(TYPED):
            said = line.removeprefix(TYPED)
            if above.startswith(TYPED):
                found[-1] += "\n" + said
            else:
                found.append(said)
    return found
