"""The store keeps a turn whole or not at all, tells a reminder once, and mixes up no two chats."""

from __future__ import annotations

import signal
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from bot.store import MEMORY, Store

ROOT = Path(__file__).resolve().parents[1]
NINE = "2026-08-01T09:00:00+02:00"
TEN = "2026-08-01T10:00:00+02:00"


def said(store: Store, chat: str, text: str, at: str = NINE) -> int:
    with store.turn(chat):
        return store.append(chat, store.open_case(chat), at, {"text": text})


def texts(store: Store, chat: str) -> list[str]:
    return [turn["text"] for turn in store.load(chat)]


def python(code: str, *arguments: str | Path) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", code, *map(str, arguments)]
    return subprocess.Popen(command, cwd=ROOT, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE)


# -- turns and cases


def test_a_new_chat_has_no_turns_and_would_open_case_one(store: Store) -> None:
    assert store.load("a") == [] and store.open_case("a") == 1 and store.cases("a") == [] and store.kitchen("a") == {}


def test_turns_come_back_in_the_order_they_were_added_with_case_and_time(store: Store) -> None:
    first, second = said(store, "a", "one", TEN), said(store, "a", "two", NINE)
    assert store.load("a") == [
        {"text": "one", "turn_id": first, "case_no": 1, "at": TEN},
        {"text": "two", "turn_id": second, "case_no": 1, "at": NINE},
    ]


def test_chats_do_not_see_each_other(store: Store) -> None:
    said(store, "a", "mine")
    said(store, "b", "yours")
    assert (texts(store, "a"), texts(store, "b")) == (["mine"], ["yours"])


def test_an_undone_turn_no_longer_counts_and_the_rest_stands(store: Store) -> None:
    said(store, "a", "one")
    second = said(store, "a", "two")
    with store.turn("a"):
        store.mark_undone("a", second)
    assert texts(store, "a") == ["one"]


def test_nobody_can_undo_a_turn_of_another_chat(store: Store) -> None:
    turn = said(store, "a", "one")
    with store.turn("b"):
        store.mark_undone("b", turn)
    assert texts(store, "a") == ["one"]


def test_a_new_case_starts_empty_and_the_one_before_stays_on_record(store: Store) -> None:
    said(store, "a", "old", NINE)
    said(store, "a", "old again", TEN)
    with store.turn("a"):
        assert store.new_case("a") == 2 == store.open_case("a")
    assert texts(store, "a") == []
    said(store, "a", "new", TEN)
    assert texts(store, "a") == ["new"]
    assert [turn["text"] for turn in store.load("a", 1)] == ["old", "old again"]
    assert store.cases("a") == [(1, NINE, TEN), (2, TEN, TEN)]


def test_odd_text_comes_back_as_it_was(store: Store) -> None:
    odd = "½ °F \x00 \U0001f600 \ud800 '; DROP TABLE turns; --"
    said(store, "a\x00'b", odd)
    assert texts(store, "a\x00'b") == [odd]


def test_the_kitchen_outlives_the_case_and_the_latest_value_counts(store: Store) -> None:
    with store.turn("a"):
        store.set_kitchen("a", "altitude", "100 ft")
        store.set_kitchen("a", "altitude", "5000 ft")
        store.new_case("a")
    assert store.kitchen("a") == {"altitude": "5000 ft"}
    assert store.kitchen("b") == {}


def test_a_store_in_memory_works_and_keeps_nothing() -> None:
    store = Store(MEMORY)
    said(store, "a", "one")
    with store.turn("a"):
        store.forget("a")
    said(store, "a", "two")
    assert texts(store, "a") == ["two"]
    store.close()
    assert Store(MEMORY).load("a") == []


# -- one transaction a turn


def test_an_error_inside_a_turn_leaves_nothing_of_it(store: Store) -> None:
    said(store, "a", "before")
    with pytest.raises(ZeroDivisionError), store.turn("a"):
        store.append("a", 1, NINE, {"text": "lost"})
        store.set_kitchen("a", "altitude", "high")
        store.forget("a")
        raise ZeroDivisionError
    assert texts(store, "a") == ["before"] and store.kitchen("a") == {}
    assert said(store, "a", "after") and texts(store, "a") == ["before", "after"]


def test_nothing_is_changed_outside_a_turn_nor_one_turn_opened_in_another(store: Store) -> None:
    with pytest.raises(RuntimeError):
        store.append("a", 1, NINE, {})
    with store.turn("a"), pytest.raises(RuntimeError), store.turn("b"):
        pass


KILLED = """
import os, signal, sys
from bot.store import Store
store = Store(sys.argv[1])
with store.turn("a"):
    store.append("a", 1, "2026-08-01T10:00:00+02:00", {"text": "during"})
    store.set_kitchen("a", "altitude", "high")
    if sys.argv[2] == "during":
        os.kill(os.getpid(), signal.SIGKILL)
os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.parametrize(("moment", "kept"), [("during", ["before"]), ("after", ["before", "during"])])
def test_a_process_killed_leaves_the_chat_before_a_message_or_after_it(
    path: Path, moment: str, kept: list[str]
) -> None:
    store = Store(path)
    said(store, "a", "before")
    store.close()
    process = python(KILLED, path, moment)
    process.communicate()
    assert process.returncode == -signal.SIGKILL
    store = Store(path)
    assert texts(store, "a") == kept
    assert store.kitchen("a") == ({} if moment == "during" else {"altitude": "high"})
    store.close()


TOGETHER = """
import sys
from bot.store import Store
store = Store(sys.argv[1])
for _ in range(25):
    with store.turn("shared"):
        store.append("shared", store.open_case("shared"), "2026-08-01T10:00Z", {"before": len(store.load("shared"))})
"""


def test_processes_that_make_the_store_together_lose_no_turn_and_read_none_too_old(path: Path) -> None:
    processes = [python(TOGETHER, path) for _ in range(4)]
    assert [process.communicate()[1] for process in processes] == [""] * 4
    store = Store(path)
    assert [turn["before"] for turn in store.load("shared")] == list(range(100))
    store.close()


# -- reminders


def test_reminders_still_to_come_are_replaced_within_their_case_only(store: Store) -> None:
    with store.turn("a"):
        store.replace_reminders("a", 1, [(NINE, "look"), (TEN, "look again")])
        store.replace_reminders("a", 2, [(TEN, "another batch")])
        store.replace_reminders("a", 1, [(TEN, "instead")])
        assert [says for _, says in store.due("a", TEN)] == ["instead", "another batch"]


def test_a_reminder_is_told_once_even_if_it_is_set_again(store: Store) -> None:
    with store.turn("a"):
        store.replace_reminders("a", 1, [(NINE, "look"), (TEN, "look again")])
    with store.turn("a"):
        assert store.due("a", NINE) == [("2026-08-01T07:00:00+00:00", "look")]
    with store.turn("a"):
        store.replace_reminders("a", 1, [(NINE, "look"), (TEN, "look again")])
        assert store.due("a", NINE) == []
        assert [says for _, says in store.due("a", TEN)] == ["look again"]


def test_reminders_fall_due_by_the_moment_whatever_the_spelling_of_its_time(store: Store) -> None:
    with store.turn("a"):
        store.replace_reminders("a", 1, [("2026-08-01T08:00:00Z", "look")])
        assert store.due("a", "2026-08-01T09:59:59.999999+02:00") == []
        assert store.due("b", "2026-08-01T10:00:00+02:00") == []
        assert len(store.due("a", "2026-08-01T10:00:00+02:00")) == 1


def test_a_reminder_whose_turn_was_not_kept_is_told_again(store: Store) -> None:
    with store.turn("a"):
        store.replace_reminders("a", 1, [(NINE, "look")])
    with pytest.raises(ZeroDivisionError), store.turn("a"):
        assert len(store.due("a", TEN)) == 1
        raise ZeroDivisionError
    with store.turn("a"):
        assert len(store.due("a", TEN)) == 1


# -- speed and mistakes


def test_no_statement_of_a_turn_looks_through_the_rows_of_other_chats(store: Store) -> None:
    seen: set[str] = set()
    store._db.set_trace_callback(seen.add)
    with store.turn("a"):
        turn = store.append("a", store.open_case("a"), NINE, {})
        store.new_case("a")
        store.load("a")
        store.cases("a")
        store.mark_undone("a", turn)
        store.set_kitchen("a", "altitude", "high")
        store.kitchen("a")
        store.replace_reminders("a", 1, [(NINE, "look")])
        store.due("a", TEN)
        store.to_come("a")
        store.set_timer("a", turn, "plate", NINE, "The plate is cold.")
        store.stop_timer("a", store.timers("a")[0][0], turn)
        store.timers_due("a", TEN)
        store.anything_due("a", TEN)
        store.mark_undone("a", turn)
        store.forget("a")
    store._db.set_trace_callback(None)
    for sql in seen:
        if sql.startswith(("SELECT", "UPDATE", "DELETE FROM cases", "DELETE FROM kitchen", "DELETE FROM rem")):
            steps = [row[3] for row in store._db.execute(f"EXPLAIN QUERY PLAN {sql}")]
            scans = [step for step in steps if step.startswith("SCAN") and "subquery" not in step.lower()]
            assert not scans, sql


def test_a_mistake_of_the_program_is_not_blamed_on_the_file(store: Store) -> None:
    raised: list[BaseException] = []

    def elsewhere() -> None:
        try:
            store.load("a")
        except Exception as error:
            raised.append(error)

    thread = threading.Thread(target=elsewhere)
    thread.start()
    thread.join()
    assert [type(error) for error in raised] == [sqlite3.ProgrammingError]
