"""A forgotten chat is gone from what is answered and from the bytes of the file."""

from __future__ import annotations

import random
import sqlite3
from pathlib import Path

import pytest

import bot.store
from bot.store import Store

NINE = "2026-08-01T09:00:00+02:00"


def say(store: Store, chat: str, text: str) -> None:
    with store.turn(chat):
        store.append(chat, store.open_case(chat), NINE, {"text": text})


def bytes_of(path: Path) -> bytes:
    return b"".join(file.read_bytes() for file in path.parent.glob(path.name + "*"))


def test_forgetting_leaves_others_alone_and_starts_the_chat_anew(store: Store) -> None:
    for chat in "ab":
        say(store, chat, "one")
        with store.turn(chat):
            store.new_case(chat)
            store.set_kitchen(chat, "altitude", "high")
            store.replace_reminders(chat, 2, [(NINE, "look")])
    store.forget("a")
    assert store.load("a") == [] and store.kitchen("a") == {} and store.cases("a") == [] and store.open_case("a") == 1
    assert store.kitchen("b") == {"altitude": "high"} and store.open_case("b") == 2
    with store.turn("a"):
        assert store.due("a", NINE) == [] and len(store.due("b", NINE)) == 1


def fill(store: Store, chats: list[str], pick: random.Random) -> None:
    """Turns of many chats mixed, so that pages of the file split and rows move: that is what leaves copies behind."""
    for n in range(2500):
        chat = pick.choice(chats)
        with store.turn(chat):
            store.append(chat, 1, NINE, {"text": f"[{chat}]" + "x" * pick.randrange(900)})
            store.set_kitchen(chat, f"key {pick.randrange(5)}", f"[{chat}]" + "x" * pick.randrange(40))
            store.replace_reminders(chat, 1, [(NINE, f"[{chat}] {n}" + "x" * pick.randrange(80))] * pick.randrange(2))
            store.due(chat, NINE if pick.randrange(2) else "2026-01-01T00:00Z")


def test_no_byte_of_a_forgotten_chat_is_left_in_the_file_or_its_log(path: Path, store: Store) -> None:
    pick = random.Random(3)
    chats = [f"chat-{pick.randrange(10**9):09d}" for _ in range(200)]
    store._db.execute("PRAGMA synchronous = OFF")  # 2,500 waits for the disk show nothing here
    fill(store, chats, pick)
    for chat in chats[:60]:
        assert chat.encode() in bytes_of(path)
        store.forget(chat)
        assert chat.encode() not in bytes_of(path)
    assert all(store.load(chat) for chat in chats[60:])


def test_a_chat_can_be_forgotten_as_part_of_a_turn(path: Path, store: Store) -> None:
    say(store, "a", "very-secret")
    with store.turn("a"):
        store.forget("a")
        store.append("a", store.open_case("a"), NINE, {"text": "a fresh start"})
    assert b"very-secret" not in bytes_of(path) and [turn["text"] for turn in store.load("a")] == ["a fresh start"]


def test_bytes_that_another_reader_holds_up_go_with_the_next_turn_after_it(
    path: Path, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bot.store, "BUSY_MS", 0)
    say(store, "a", "very-secret")
    reader = sqlite3.connect(path, isolation_level=None)
    reader.execute("BEGIN")
    reader.execute("SELECT count(*) FROM turns").fetchone()
    store.forget("a")
    assert store.load("a") == []
    reader.close()
    say(store, "b", "hello")
    assert b"very-secret" not in bytes_of(path)


def test_bytes_left_by_a_process_that_died_while_forgetting_go_at_the_next_start(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = Store(path)
    say(store, "a", "very-secret")
    with monkeypatch.context() as patch:
        patch.setattr(Store, "_wipe", lambda self, wait_ms: None)
        store.forget("a")
        assert b"very-secret" in bytes_of(path)
        store.close()
    Store(path).close()
    assert b"very-secret" not in bytes_of(path)
