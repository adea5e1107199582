"""The store keeps timers over a restart, tells each once, and lets them go with the message that set them."""

from __future__ import annotations

from pathlib import Path

import pytest

import bot.store_file
from bot.store import Store

NINE = "2026-08-01T09:00:00+02:00"
PAST_NINE = "2026-08-01T09:10:00+02:00"
TEN = "2026-08-01T10:00:00+02:00"


def set_by(store: Store, chat: str, *timers: tuple[str, str]) -> int:
    """A message that set these timers, each (name, time); gives its turn."""
    with store.turn(chat):
        turn = store.append(chat, store.open_case(chat), NINE, {"text": "set a timer"})
        for name, at in timers:
            store.set_timer(chat, turn, name, at, f"{name}: time is up")
    return turn


def names(store: Store, chat: str = "a") -> list[str]:
    return [name for _, name, _, _ in store.timers(chat)]


def told(store: Store, at: str, chat: str = "a") -> list[str]:
    with store.turn(chat):
        return [name for _, name, _ in store.timers_due(chat, at)]


def test_timers_come_back_after_a_restart_with_the_first_one_due_first(path: Path) -> None:
    store = Store(path)
    set_by(store, "a", ("pickles", TEN), ("plate", PAST_NINE))
    store.close()
    store = Store(path)
    assert [timer[1:] for timer in store.timers("a")] == [
        ("plate", "2026-08-01T07:10:00+00:00", "plate: time is up"),
        ("pickles", "2026-08-01T08:00:00+00:00", "pickles: time is up"),
    ]
    assert store.timers("b") == []
    store.close()


def test_a_timer_is_told_once_and_runs_no_more(path: Path, store: Store) -> None:
    set_by(store, "a", ("pickles", TEN), ("plate", PAST_NINE))
    assert told(store, NINE) == []
    assert told(store, PAST_NINE) == ["plate"]
    assert told(store, PAST_NINE) == [] and names(store) == ["pickles"]
    again = Store(path)
    assert told(again, TEN) == ["pickles"] and told(again, TEN) == []
    again.close()


def test_a_timer_whose_telling_was_not_kept_is_told_again(store: Store) -> None:
    set_by(store, "a", ("plate", PAST_NINE))
    with pytest.raises(ZeroDivisionError), store.turn("a"):
        assert len(store.timers_due("a", TEN)) == 1
        raise ZeroDivisionError
    assert told(store, TEN) == ["plate"]


def test_a_stopped_timer_is_not_told_and_runs_again_once_the_stopping_is_undone(store: Store) -> None:
    set_by(store, "a", ("pickles", TEN), ("plate", PAST_NINE))
    (plate, *_), _ = store.timers("a")
    with store.turn("a"):
        turn = store.append("a", 1, NINE, {"text": "cancel the plate one"})
        store.stop_timer("a", plate, turn)
    assert names(store) == ["pickles"] and told(store, PAST_NINE) == []
    with store.turn("a"):
        store.mark_undone("a", turn)
    assert names(store) == ["plate", "pickles"]


def test_the_undone_message_takes_its_timers_with_it_and_no_others(store: Store) -> None:
    set_by(store, "a", ("plate", PAST_NINE))
    later = set_by(store, "a", ("pickles", TEN))
    with store.turn("b"):
        store.mark_undone("b", later)
    assert names(store) == ["plate", "pickles"]
    with store.turn("a"):
        store.mark_undone("a", later)
    assert names(store) == ["plate"]


def test_nobody_stops_a_timer_of_another_chat(store: Store) -> None:
    set_by(store, "a", ("plate", PAST_NINE))
    turn = set_by(store, "b")
    with store.turn("b"):
        store.stop_timer("b", store.timers("a")[0][0], turn)
    assert names(store) == ["plate"]


def test_a_new_case_leaves_the_timers_running(store: Store) -> None:
    set_by(store, "a", ("plate", PAST_NINE))
    with store.turn("a"):
        store.new_case("a")
    assert names(store) == ["plate"]


def test_whether_anything_is_due_is_answered_for_timers_and_reminders_alike(store: Store) -> None:
    set_by(store, "a", ("plate", PAST_NINE))
    with store.turn("b"):
        store.replace_reminders("b", 1, [(TEN, "look")])
    at = {
        moment: (store.anything_due("a", moment), store.anything_due("b", moment)) for moment in (NINE, PAST_NINE, TEN)
    }
    assert at == {NINE: (False, False), PAST_NINE: (True, False), TEN: (True, True)}
    told(store, TEN)
    assert not store.anything_due("a", TEN)


def test_forgetting_leaves_no_timer_and_no_byte_of_its_name(path: Path, store: Store) -> None:
    set_by(store, "a", ("very-secret", TEN))
    set_by(store, "b", ("plate", TEN))
    store.forget("a")
    assert (names(store, "a"), names(store, "b")) == ([], ["plate"])
    assert all(b"very-secret" not in file.read_bytes() for file in path.parent.glob(path.name + "*"))


def test_a_file_from_before_there_were_timers_is_brought_up_to_date(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(bot.store_file, "VERSION", 1)
        patch.setattr(bot.store_file, "_TABLES_2", ())
        old = Store(path)
        old._db.execute("DELETE FROM _sqlite_migrations WHERE name = 'table_of_timers'")
        with old.turn("a"):
            old.append("a", 1, NINE, {"text": "one lid is up"})
            old.replace_reminders("a", 1, [(TEN, "look")])
        assert old._db.execute("SELECT count(*) FROM sqlite_master WHERE name = 'timers'").fetchone() == (0,)
        old.close()
    store = Store(path)
    set_by(store, "a", ("plate", PAST_NINE))
    assert [turn["text"] for turn in store.load("a")] == ["one lid is up", "set a timer"]
    assert names(store) == ["plate"] and [says for _, says in store.to_come("a")] == ["look"]
    assert store._db.execute("PRAGMA user_version").fetchone() == (bot.store_file.VERSION,)
    store.close()
