"""The chat in a real terminal: easy to read, at ease in narrow windows, edited with the usual keys, left cleanly."""

from __future__ import annotations

import os
import pty
import re
import select
import signal
import subprocess
import sys
from collections.abc import Iterator
from fcntl import ioctl
from pathlib import Path
from struct import pack
from termios import TIOCSWINSZ

import pytest

ROOT = Path(__file__).resolve().parents[2]
LONG = "Leave the lids alone until they have gone quite cold, which may well take twelve hours or a little more. " * 3

SCRIPT = f"""
import fcntl, signal, sys, termios
from datetime import datetime, UTC
fcntl.ioctl(0, termios.TIOCSCTTY, 0)  # so that Ctrl-C typed here reaches this process
signal.signal(signal.SIGINT, signal.default_int_handler)  # tests run in the background would hand down "ignored"
from bot.channels.terminal import run
from bot.engine.reply import Question, Reply
def answer(chat, text, at):
    if text == "long":
        asked = Question("seen", "", "", ({LONG!r}, "flat"))
        return Reply("answer", ({LONG!r}, "Going by: what was said.", {LONG!r}), question=asked)
    asked = Question("seen", "", "", ("dished down", "flat")) if text == "ask" else None
    return Reply("answer", (f"Heard {{len(text)}}: {{text[:40]}}", "Then this."), question=asked)
raise SystemExit(run(answer, lambda chat, at: Reply("aside", ()), lambda: datetime.now(UTC), sys.stdin, sys.stdout,
                     greeting="Hello.", goodbye="Goodbye.", commands=("/forget", "/start")))
"""
# The same chat, in which something falls due a moment after the first look, and one timer runs.
RINGING = (
    SCRIPT.replace('lambda chat, at: Reply("aside", ())', "tick")
    .replace("raise SystemExit", """looks = []
def tick(chat, at):
    looks.append(at)
    return Reply("aside", ("Time is up: plate.", "Push it.") if len(looks) == 3 else ())
def running(chat, at):
    return Reply("aside", ("Running:", "jars: 9 min"), reminders=(Reminder(datetime(2026, 7, 14, 10, 10), "jars"),))
raise SystemExit""")
    .replace("Question, Reply", "Question, Reminder, Reply")
    .replace('commands=("/forget", "/start")', 'commands=("/forget", "/start"), running=running, every=0.01')
)


class Window:
    """A terminal with the chat running in it."""

    def __init__(self, columns: int, environ: dict[str, str], script: str = SCRIPT) -> None:
        self.master, inner = pty.openpty()
        ioctl(inner, TIOCSWINSZ, pack("HHHH", 24, columns, 0, 0))
        kept = {name: value for name, value in os.environ.items() if name not in ("COLUMNS", "NO_COLOR")}
        self.process = subprocess.Popen(
            [sys.executable, "-c", script],
            cwd=ROOT,
            stdin=inner,
            stdout=inner,
            stderr=inner,
            start_new_session=True,
            env={**kept, "TERM": "xterm", "INPUTRC": os.devnull, **environ},
        )
        os.close(inner)
        self.unread = ""

    def until(self, awaited: str) -> str:
        """What is shown up to and with these words."""
        while awaited not in self.unread:
            ready, _, _ = select.select([self.master], [], [], 30)  # only so that a failure ends
            assert ready, f"waited for {awaited!r} and saw {self.unread!r}"
            self.unread += os.read(self.master, 65536).decode(errors="replace")
        seen, _, self.unread = self.unread.partition(awaited)
        return seen + awaited

    def type(self, keys: str) -> None:
        for start in range(0, len(keys), 1000):  # a terminal takes no more than so much at once
            os.write(self.master, keys[start : start + 1000].encode())
            if len(keys) > 1000:
                self.until(keys[start : start + 1000][-20:])

    def interrupt(self) -> None:
        """Ctrl-C, once the chat waits for a key. Faster than any hand, and Python would keep it until the next key."""
        waits_in = Path(f"/proc/{self.process.pid}/wchan")  # on Linux, and not on every one
        for _ in range(100_000):
            if not waits_in.exists() or re.search("poll|select", waits_in.read_text()):
                break
        self.type("\x03")

    def left(self) -> int:
        return self.process.wait(timeout=30)

    def close(self) -> None:
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGKILL)
            self.process.wait()
        os.close(self.master)


@pytest.fixture
def window(request: pytest.FixtureRequest) -> Iterator[Window]:
    columns, environ = getattr(request, "param", (80, {}))
    opened = Window(columns, environ)
    opened.until("> ")
    yield opened
    opened.close()


@pytest.fixture
def ringing(request: pytest.FixtureRequest) -> Iterator[Window]:
    opened = Window(80, getattr(request, "param", {}), RINGING)
    yield opened
    opened.close()


def test_what_falls_due_appears_although_nobody_types(ringing: Window) -> None:
    shown = ringing.until("Push it.")
    assert "\a" in shown and "\x1b[1mTime is up: plate." in shown
    ringing.until("> ")
    ringing.type("on with it\r")
    ringing.until("Heard 10: on with it")


def test_a_line_half_typed_is_kept_and_shown_again_below_what_fell_due() -> None:
    half = "readline.get_line_buffer() == 'half a' and not told and not told.append(1)"
    window = Window(80, {}, "import readline\ntold = []\n" + RINGING.replace("len(looks) == 3", half))
    window.until("> ")
    window.type("half a")
    window.until("half a")
    window.until("Push it.")
    window.until("> half a")
    window.type(" line\r")
    window.until("Heard 11: half a line")
    window.close()


@pytest.mark.parametrize("ringing", [{"TERM": "dumb"}], indirect=True)
def test_what_falls_due_appears_in_the_plainest_terminal_without_a_code(ringing: Window) -> None:
    shown = ringing.until("Push it.")
    assert "Time is up: plate." in shown and not re.search(r"\x1b", shown)


def test_the_timers_that_run_stand_at_the_start_and_in_the_prompt(ringing: Window) -> None:
    shown = ringing.until("[jars 10:10] > ")
    assert "Running:" in shown and "jars: 9 min" in shown


def test_in_a_terminal_the_first_line_is_strong_and_the_reasons_are_faint(window: Window) -> None:
    window.type("long\r")
    shown = window.until("flat")
    assert "\x1b[1mLeave the lids" in shown and "\x1b[2mGoing by: what was said.\x1b[0m" in shown
    assert "\x1b[1m" not in shown.split("Going by")[1]


@pytest.mark.parametrize("window", [(80, {"NO_COLOR": "1"}), (80, {"TERM": "dumb"})], indirect=True)
def test_there_is_no_colour_where_none_is_wanted(window: Window) -> None:
    window.type("long\r")
    assert not re.search(r"\x1b\[[0-9]*m", window.until("flat"))


@pytest.mark.parametrize("window", [(columns, {"NO_COLOR": "1"}) for columns in (20, 41, 80, 300)], indirect=True)
def test_replies_are_wrapped_to_the_window(window: Window, request: pytest.FixtureRequest) -> None:
    columns = request.node.callspec.params["window"][0]
    window.type("long\r")
    window.until("long")
    lines = re.sub(r"\x1b\[[?0-9]*[a-z]", "", window.until("flat")).splitlines()
    assert max(map(len, lines)) <= min(columns, 100)
    assert " ".join(" ".join(lines).split()).count(LONG.strip()) == 3
    assert [line for line in lines if line.startswith("   ")], "the rest of a choice is set in below its number"


def test_a_number_shows_which_choice_it_meant(window: Window) -> None:
    window.type("ask\r")
    window.until("2) flat")
    window.type("2\r")
    assert "= flat" in window.until("Heard 4: flat")


def test_tab_completes_commands_and_choices_and_the_up_arrow_brings_a_line_back(window: Window) -> None:
    window.type("/fo\t\r")
    window.until("Heard 7: /forget")
    window.type("ask\r")
    window.until("2) flat")
    window.until("> ")
    window.type("Dish\t\r")
    window.until("Heard 11: dished down")
    window.until("> ")
    window.type("\x1b[A\x1b[A\r")
    window.until("Heard 3: ask")


def test_a_line_of_more_than_4000_characters_is_passed_on_whole(window: Window) -> None:
    window.type("y" * 6000)
    window.type("\r")
    window.until("Heard 6000: yyy")


def test_ctrl_c_clears_the_line_and_a_second_one_leaves_with_a_goodbye(window: Window) -> None:
    window.type("half a line")
    window.until("half a line")
    window.interrupt()
    window.until("Ctrl-C again to leave.")
    window.until("> ")
    window.type("whole\r")
    window.until("Heard 5: whole")
    window.until("> ")
    window.interrupt()
    window.until("Ctrl-C again to leave.")
    window.until("> ")
    window.interrupt()
    window.until("Goodbye.")
    assert window.left() == 0


def test_the_end_of_input_leaves_with_a_goodbye(window: Window) -> None:
    window.type("\x04")
    window.until("Goodbye.")
    assert window.left() == 0


def test_a_window_closed_in_the_middle_ends_the_chat(window: Window) -> None:
    os.close(window.master)
    window.master = os.open(os.devnull, os.O_RDONLY)
    assert window.left() in (0, -signal.SIGHUP)
