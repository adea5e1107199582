"""The conversation in a terminal: a plain chat that scrolls back. Through a pipe, the same words a paragraph a line."""

from __future__ import annotations

import errno
import io
import os
import re
import shutil
import sys
import textwrap
import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from typing import TextIO

from bot.channels.json_lines import GONE, OURSELVES, let_go
from bot.channels.ringing import EVERY, ringing, typed_so_far
from bot.engine.reply import Reply

PROMPT = "> "
WIDEST = 100  # columns; longer lines are hard to read
NARROWEST = 20
MOST_NAMED = 3  # timers in the prompt
_BELL, _CLEAR_LINE = "\a", "\r\x1b[K"
_BOLD, _DIM, _PLAIN = "\x1b[1m", "\x1b[2m", "\x1b[0m"
_PICK = re.compile(r"([0-9]{1,3})[.)]?")
_LEAD = re.compile(r"\s*(?:[-*•] |[0-9]+[.)] )?")  # the rest of a wrapped line is set in as far as this
# A message may hold anything, and part of it comes back in the reply: nothing in it may steer the terminal.
_UNSEEN = dict.fromkeys([*range(9), *range(11, 32), *range(127, 160), *range(0x202A, 0x202F), *range(0x2066, 0x206A)])
_SPELT = {
    "\N{DEGREE SIGN}": "deg ",
    "\N{MULTIPLICATION SIGN}": "x",
    "\N{DIVISION SIGN}": "/",
    "\N{FRACTION SLASH}": "/",
    "\N{MINUS SIGN}": "-",
    "\N{EN DASH}": "-",
    "\N{EM DASH}": "-",
    "\N{NON-BREAKING HYPHEN}": "-",
    "\N{HYPHEN}": "-",  # what the one above is taken apart into
    "\N{BULLET}": "*",
    "\N{MIDDLE DOT}": "-",
    "\N{GREATER-THAN OR EQUAL TO}": ">=",
    "\N{LESS-THAN OR EQUAL TO}": "<=",
    "\N{ALMOST EQUAL TO}": "about ",
    "\N{RIGHTWARDS ARROW}": "->",
    "\N{LEFT SINGLE QUOTATION MARK}": "'",
    "\N{RIGHT SINGLE QUOTATION MARK}": "'",
    "\N{LEFT DOUBLE QUOTATION MARK}": '"',
    "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
}


class _NobodyReads(Exception):
    """The window or the pipe that the words went to is closed."""


def run(
    answer: Callable[[str, str, datetime], Reply],
    tick: Callable[[str, datetime], Reply],
    now: Callable[[], datetime],
    input_stream: TextIO,
    output_stream: TextIO,
    *,
    greeting: str = "",
    goodbye: str = "Bye.",
    commands: Sequence[str] = (),
    quiet: tuple[str, ...] = ("Going by", "Source"),
    chat: str = OURSELVES,
    running: Callable[[str, datetime], Reply] | None = None,
    every: float = EVERY,
    environ: Mapping[str, str] = os.environ,
) -> int:
    """Talk until the input ends or the person leaves; gives the exit status.

    `commands` are offered by Tab. Paragraphs beginning with one of `quiet` stand behind the answer, so they are dimmed. `running` tells
    the timers that run: at the start, and in the prompt. Every so many seconds it is looked for what fell due, with nobody typing.
    """
    for stream in (input_stream, output_stream):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # an odd byte is one odd letter, not the end
    screen = _Screen(output_stream, quiet, environ)
    talk = input_stream.isatty() and screen.is_tty
    # Python's own `input` can edit the line and go back in history, but it knows the standard streams only.
    editing = talk and input_stream is sys.stdin and output_stream is sys.stdout
    offered: tuple[str, ...] = ()
    interrupted = False
    try:
        screen.show([greeting, ""] if greeting else [])
        offered = screen.reply(tick(chat, now()))
        if running is not None and (lines := running(chat, now()).paragraphs):
            screen.show([*lines, ""], dim=True)
        with _completing(lambda: [*commands, *offered], editing and environ.get("TERM") != "dumb"):
            while True:
                try:
                    prompt = _prompt(running(chat, now()) if running is not None else None) if talk else ""

                    def ring(prompt: str = prompt) -> None:
                        screen.break_in(tick(chat, now()), prompt, typed_so_far() if editing else "")

                    typed = _read(input_stream, screen, prompt, editing, ring, every).strip()
                    interrupted = False
                    text = _picked(typed, offered)
                    if text != typed and talk:
                        screen.show([f"= {text}"], dim=True)  # a number that meant something else is seen at once
                    at = now()
                    offered = screen.reply(tick(chat, at)) or offered
                    if text:
                        offered = screen.reply(answer(chat, text, at))
                except KeyboardInterrupt:
                    if interrupted or not talk:
                        break
                    interrupted = True
                    screen.show(["", "Ctrl-C again to leave."], dim=True)
                except EOFError:
                    break
        screen.show(["", goodbye] if talk else [])
    except _NobodyReads:
        let_go(output_stream)
    except KeyboardInterrupt:  # before the first line was asked for
        pass
    return 0


def _prompt(running: Reply | None) -> str:
    """The prompt, with the timers that run and the time each is due: that stays true however long it stands there."""
    timers = running.reminders if running is not None else ()
    named = ", ".join(f"{each.says} {each.at:%H:%M}" for each in timers[:MOST_NAMED])
    more = f", +{len(timers) - MOST_NAMED}" if len(timers) > MOST_NAMED else ""
    return f"[{named}{more}] {PROMPT}" if timers else PROMPT


def _read(stream: TextIO, screen: _Screen, prompt: str, editing: bool, ring: Callable[[], None], every: float) -> str:
    try:
        if editing:
            with ringing(ring, stream, every):
                return input(prompt)
        screen.write(prompt)
        with ringing(ring, stream, every):
            line = stream.readline()
    except OSError as error:
        if error.errno != errno.EIO:  # which is how a closed window reads
            raise
        line = ""
    if not line:
        raise EOFError
    return line


def _picked(typed: str, offered: Sequence[str]) -> str:
    """The label of the choice whose number was typed, or else what was typed."""
    number = _PICK.fullmatch(typed)
    place = int(number[1]) if number else 0
    return offered[place - 1] if 0 < place <= len(offered) else typed


@contextmanager
def _completing(candidates: Callable[[], list[str]], wanted: bool) -> Iterator[None]:
    """Arrow keys go back in history, Tab completes commands and choices, where the system has readline.

    History lives as long as the program: a file of it would outlast being told to forget.
    """
    if not wanted or sys.platform == "win32":
        yield
        return
    try:
        import readline
    except ImportError:
        yield
        return

    def complete(begun: str, nth: int) -> str | None:
        fitting = [c for c in candidates() if c.casefold().startswith(begun.casefold())]
        return fitting[nth] if nth < len(fitting) else None

    before = readline.get_completer(), readline.get_completer_delims()
    readline.set_completer(complete)
    readline.set_completer_delims("")  # a choice is completed as a whole, blanks and all
    readline.parse_and_bind("bind ^I rl_complete" if "libedit" in (readline.__doc__ or "") else "tab: complete")
    try:
        yield
    finally:
        readline.set_completer(before[0])
        readline.set_completer_delims(before[1])


class _Screen:
    """Where the words go: wrapped and with some weight in a terminal, plain through a pipe."""

    def __init__(self, stream: TextIO, quiet: tuple[str, ...], environ: Mapping[str, str]) -> None:
        self.is_tty = stream.isatty()
        self._stream = stream
        self._quiet = quiet
        self._moves = self.is_tty and environ.get("TERM") != "dumb"
        self._dressed = self._moves and not environ.get("NO_COLOR")
        if sys.platform == "win32":  # older consoles there print the codes
            self._dressed = self._dressed and ("WT_SESSION" in environ or "TERM" in environ)

    def reply(self, reply: Reply) -> tuple[str, ...]:
        """Show a reply, if there is anything in it, and give the choices it offers."""
        offered = reply.question.choices if reply.question else reply.choices
        if not reply.paragraphs:
            return ()
        first, *rest = reply.paragraphs
        self.show([first], bold=True)
        self.show([*rest, *(f"{place}) {label}" for place, label in enumerate(offered, 1)), ""])
        return offered

    def break_in(self, reply: Reply, prompt: str, typed: str) -> None:
        """Show a reply while a line is awaited, and put the prompt and what was typed so far below it."""
        if not reply.paragraphs:
            return
        if self.is_tty:
            self.write(_BELL + (_CLEAR_LINE if self._moves else "\n"))
        self.reply(reply)
        self.write(prompt + typed)

    def show(self, paragraphs: Sequence[str], bold: bool = False, dim: bool = False) -> None:
        """Print paragraphs, each on lines of its own."""
        for paragraph in paragraphs:
            dress = _DIM if dim or paragraph.startswith(self._quiet) else _BOLD if bold else ""
            for line in self._lines(paragraph):
                self.write((f"{dress}{line}{_PLAIN}" if dress and line and self._dressed else line) + "\n")

    def write(self, text: str) -> None:
        """Send text out at once."""
        try:
            self._stream.write(text)
            self._stream.flush()
        except OSError as error:
            if error.errno not in (*GONE, errno.EIO):
                raise
            raise _NobodyReads from None

    def _lines(self, paragraph: str) -> Iterator[str]:
        for line in self._sayable(paragraph.expandtabs(4).translate(_UNSEEN)).split("\n"):
            if not self.is_tty or not line:
                yield line
                continue
            # Asked anew each time, as windows are resized. The last column stays free: some terminals wrap after it.
            width = max(NARROWEST, min(WIDEST, shutil.get_terminal_size().columns)) - 1
            lead = _LEAD.match(line)
            inset = " " * min(len(lead[0]) if lead else 0, width // 2)
            yield from textwrap.wrap(line, width, subsequent_indent=inset, break_on_hyphens=False) or [""]

    def _sayable(self, text: str) -> str:
        """The text in letters this console has: degrees, fractions and accents become plain where it lacks them."""
        try:
            text.encode(self._stream.encoding or "utf-8")
        except UnicodeEncodeError:
            return "".join(self._spelt(sign, before) for sign, before in zip(text, " " + text, strict=False))
        return text

    def _spelt(self, sign: str, before: str) -> str:
        encoding = self._stream.encoding or "utf-8"
        try:
            sign.encode(encoding)
        except UnicodeEncodeError:
            parts = [sign] if sign in _SPELT else unicodedata.normalize("NFKD", sign)
            plain = "".join(_SPELT.get(part, part) for part in parts if not unicodedata.combining(part))
            if unicodedata.category(sign) == "No" and before.isdigit():
                plain = " " + plain  # 2½ is 2 1/2, not 21/2
            return plain.encode(encoding, "replace").decode(encoding)
        return sign
