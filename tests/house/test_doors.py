"""Which room may open which door. Arrows point one way, and the rooms that judge safety touch nothing of the world outside."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from fnmatch import fnmatch

import pytest

from tests.house.checkout import modules


@dataclass(frozen=True)
class Room:
    """Some modules of bot/, and what they may import beside the standard library."""

    files: tuple[str, ...]
    ours: tuple[str, ...] = ()
    others: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    pure: bool = False


LIBRARY = (
    "bot.library", "bot.knowledge_shape", "bot.knowledge_links", "bot.knowledge_conflicts", "bot.knowledge_figures", "bot.knowledge_copy",
    "bot.located_yaml",
)  # fmt: skip
STORE = ("bot.store", "bot.store_file")
ROOMS = {
    "kitchen": Room(("bot/kitchen/*.py",), ("bot.kitchen",), pure=True),
    "engine": Room(("bot/engine/*.py",), ("bot.engine", "bot.kitchen"), ("rapidfuzz",), pure=True),
    "channels": Room(("bot/channels/*.py",), ("bot.engine.reply", "bot.channels")),
    "library": Room(
        ("bot/library.py", "bot/knowledge_*.py", "bot/located_yaml.py"),
        ("bot.__version__", "bot.engine", "bot.kitchen", *LIBRARY),
        ("yaml",),
        never=("sqlite3",),
    ),
    "store": Room(("bot/store*.py",), (*STORE, "bot.engine.case", "bot.engine.reply"), ("sqlite_utils",)),
    "app": Room(("bot/app.py",), ("bot.engine", "bot.kitchen", *STORE), never=("sqlite3",)),
    "tree": Room(("bot/tree.py",), ("bot.engine", "bot.kitchen")),
    "package": Room(("bot/__init__.py",)),
    "wiring": Room(("bot/__main__.py",), ("bot",)),
}

# What reads or changes the world outside, or differs from run to run.
WORLDLY_MODULES = {
    "asyncio", "concurrent", "ctypes", "fileinput", "getpass", "glob", "http", "importlib", "io", "locale", "logging",
    "multiprocessing", "os", "pathlib", "platform", "random", "secrets", "select", "shelve", "shutil", "signal", "socket",
    "sqlite3", "ssl", "subprocess", "sys", "tempfile", "threading", "time", "urllib", "uuid",
}  # fmt: skip
WORLDLY_NAMES = {"__import__", "breakpoint", "eval", "exec", "input", "open", "print"}
CLOCKS = {"now", "today", "utcnow"}
CALENDARS = {"date", "datetime", "datetime.date", "datetime.datetime"}


def rooms_of(path: str) -> list[str]:
    return [name for name, room in ROOMS.items() if any(fnmatch(path, files) for files in room.files)]


def room_of(path: str) -> str:
    (room,) = rooms_of(path)
    return room


@pytest.mark.parametrize("path", modules())
def test_no_door_is_opened_that_the_room_does_not_have(path: str) -> None:
    assert list(wrong_arrows(path, modules()[path])) == []


@pytest.mark.parametrize("path", [path for path in modules() if any(ROOMS[room].pure for room in rooms_of(path))])
def test_the_rooms_that_judge_safety_see_no_file_clock_chance_or_terminal(path: str) -> None:
    assert list(worldly(modules()[path])) == []


def test_every_module_lies_in_one_room() -> None:
    assert {path: room for path in modules() if len(room := rooms_of(path)) != 1} == {}


def test_every_room_has_modules() -> None:
    assert set(ROOMS) == {room for path in modules() for room in rooms_of(path)}


def test_only_the_command_line_puts_the_parts_together() -> None:
    parts = ("bot.library", "bot.store", "bot.app", "bot.channels")
    names = {path: [name for _, name in imported(path, tree)] for path, tree in modules().items()}
    wiring = [path for path, found in names.items() if all(any(under(name, part) for name in found) for part in parts)]
    assert wiring == ["bot/__main__.py"]
    assert [path for path, found in names.items() if any(under(name, "bot.__main__") for name in found)] == []


@pytest.mark.parametrize(
    ("path", "line", "named"),
    [
        ("bot/engine/words.py", "import yaml", "yaml"),
        ("bot/engine/words.py", "def f():\n    from bot.store import Store", "bot.store.Store"),
        ("bot/engine/words.py", "if TYPE_CHECKING:\n    from bot.library import load", "bot.library.load"),
        ("bot/engine/words.py", "from ..channels import terminal", "bot.channels.terminal"),
        ("bot/engine/words.py", "from bot import channels", "bot.channels"),
        ("bot/engine/words.py", "import bot.app as engine", "bot.app"),
        ("bot/kitchen/remake.py", "from bot.engine.case import Case", "bot.engine.case.Case"),
        ("bot/kitchen/remake.py", "import rapidfuzz", "rapidfuzz"),
        ("bot/channels/terminal.py", "from bot.engine import turn", "bot.engine.turn"),
        ("bot/channels/terminal.py", "from bot.app import App", "bot.app.App"),
        ("bot/channels/terminal.py", "import yaml", "yaml"),
        ("bot/store_file.py", "import yaml", "yaml"),
        ("bot/store.py", "from bot.engine.turn import Engine", "bot.engine.turn.Engine"),
        ("bot/library.py", "from bot.store import Store", "bot.store.Store"),
        ("bot/knowledge_shape.py", "from bot.channels import json_lines", "bot.channels.json_lines"),
        ("bot/app.py", "import sqlite3.dbapi2", "sqlite3.dbapi2"),
        ("bot/app.py", "from bot.library import load", "bot.library.load"),
        ("bot/app.py", "from . import channels", "bot.channels"),
    ],
)
def test_a_wrong_arrow_is_seen_wherever_it_hides(path: str, line: str, named: str) -> None:
    assert [name for _, name in wrong_arrows(path, ast.parse(line))] == [named]


@pytest.mark.parametrize(
    "line",
    [
        "open('x')",
        "print(1)",
        "input()",
        "import random",
        "from random import choice",
        "import time",
        "import socket",
        "import os\nos.environ['HOME']",
        "from os import environ",
        "from pathlib import Path",
        "__import__('os')",
        "datetime.now()",
        "datetime.now(UTC)",
        "from datetime import datetime as moment\nmoment.now()",
        "field(default_factory=datetime.now)",
        "date.today()",
        "datetime.datetime.utcnow()",
        "at.astimezone()",
    ],
)
def test_a_look_at_the_world_outside_is_seen(line: str) -> None:
    assert len(list(worldly(ast.parse(line)))) == 1


@pytest.mark.parametrize("line", ["facts.now.timestamp()", "found.facts[ALL].now", "at.astimezone(UTC)", "door.open", "now()"])
def test_a_moment_that_was_handed_in_is_no_look_at_the_clock(line: str) -> None:
    assert list(worldly(ast.parse(line))) == []


def under(name: str, package: str) -> bool:
    return name == package or name.startswith(package + ".")


def imported(path: str, tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Line and full name of everything imported, in functions and under TYPE_CHECKING as well."""
    package = path.split("/")[:-1]
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) - node.level + 1] if node.level else []
            origin = ".".join([*above, *([node.module] if node.module else [])])
            yield from ((node.lineno, f"{origin}.{alias.name}") for alias in node.names)


def wrong_arrows(path: str, tree: ast.Module) -> Iterator[tuple[str, str]]:
    """Where (path:line) and what is imported that the room must not know."""
    room = ROOMS[room_of(path)]
    for line, name in imported(path, tree):
        top = name.partition(".")[0]
        allowed = (*room.ours, *room.others, *(sys.stdlib_module_names - set(room.never)))
        if not any(under(name, each) for each in (allowed if top != "bot" else room.ours)):
            yield f"{path}:{line}", name


def worldly(tree: ast.Module) -> Iterator[str]:
    """Every look at the world outside: line and what is looked at."""
    called = {id(node.func) for node in ast.walk(tree) if isinstance(node, ast.Call)}
    for node in ast.walk(tree):
        match node:
            case ast.Import(names=names):
                yield from (f"{node.lineno}: {alias.name}" for alias in names if worldly_module(alias.name))
            case ast.ImportFrom(module=str(name)) if worldly_module(name):
                yield f"{node.lineno}: {name}"
            case ast.Name(id=name) if name in WORLDLY_NAMES:
                yield f"{node.lineno}: {name}"
            case ast.Attribute(attr=name) if name in CLOCKS and (id(node) in called or ast.unparse(node.value) in CALENDARS):
                yield f"{node.lineno}: {ast.unparse(node)}"
            case ast.Call(func=ast.Attribute(attr="astimezone"), args=[], keywords=[]):
                yield f"{node.lineno}: {ast.unparse(node)} takes the time zone of the machine"


def worldly_module(name: str) -> bool:
    return name.partition(".")[0] in WORLDLY_MODULES
