"""What is remembered between messages: each chat's cases and their turns, its kitchen, reminders, timers. One SQLite file.

A turn is one transaction, so that a process killed at any instant leaves each chat either before a message or after it.
Values that the store does not look into are JSON text.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from bot.store_file import BUSY_MS, MEMORY, StoreError, damaged, default_path, open_file, why

__all__ = ["MEMORY", "Store", "StoreError", "default_path"]


class Store:
    """One connection to the store. It stays in the thread that opened it."""

    def __init__(self, path: str | Path) -> None:
        self._path = path if path == MEMORY else Path(path)
        self._db = open_file(self._path)
        # What is left to do after a chat was forgotten: "vacuum", then "truncate". A process may have died over it.
        self._to_wipe = "vacuum" if self._number("SELECT count(*) FROM chores") else ""
        self._wipe(BUSY_MS)

    def close(self) -> None:
        """Done with it. What a forgotten chat left to wipe has its last try here, until the next start."""
        self._wipe(0)
        self._db.close()

    # One turn

    @contextmanager
    def turn(self, chat: str) -> Iterator[None]:
        """All reads and writes of one message of this chat: kept together, or not at all if anything is raised."""
        if self._db.in_transaction:
            raise RuntimeError("a turn is open already")
        overdue = self._to_wipe
        # IMMEDIATE waits for its place before it reads. Plain BEGIN would fail at once on the first write after a read
        # that another process has overtaken.
        self._run("BEGIN IMMEDIATE")
        try:
            yield
            self._run("COMMIT")
        finally:
            if self._db.in_transaction:  # something was raised, and SQLite has not rolled back by itself
                self._db.execute("ROLLBACK")
                self._to_wipe = overdue
        self._wipe(0 if overdue else BUSY_MS)  # a person waits for it once, not with every message

    # Cases and their turns

    def load(self, chat: str, case_no: int | None = None) -> list[dict[str, Any]]:
        """The turns of the open case (or of the one named), oldest first, without those undone.

        Each is its record with `turn_id`, `case_no` and `at` set beside it.
        """
        case_no = self.open_case(chat) if case_no is None else case_no
        turns = "SELECT id, at, record FROM turns WHERE chat = ? AND case_no = ? AND undone = 0 ORDER BY id"
        rows = self._run(turns, (chat, case_no)).fetchall()
        try:
            return [{**json.loads(record), "turn_id": turn, "case_no": case_no, "at": at} for turn, at, record in rows]
        except ValueError:
            raise damaged(self._path) from None

    def append(self, chat: str, case_no: int, at_iso: str, record: dict[str, Any]) -> int:
        """Add a turn to a case; gives the turn's id."""
        self._write("INSERT OR IGNORE INTO cases VALUES (?, ?)", (chat, case_no))
        turn = "INSERT INTO turns (chat, case_no, at, record) VALUES (?, ?, ?, ?)"
        added = self._write(turn, (chat, case_no, at_iso, json.dumps(record, separators=(",", ":")))).lastrowid
        assert added is not None  # an INSERT that did not raise has a row
        return added

    def mark_undone(self, chat: str, turn_id: int) -> None:
        """Take a turn out of its case, with the timers it set; those it stopped run again.

        It stays on record; another chat's turn, or one forgotten, is left alone.
        """
        self._write("UPDATE turns SET undone = 1 WHERE id = ? AND chat = ?", (turn_id, chat))
        self._write("DELETE FROM timers WHERE turn = ? AND chat = ?", (turn_id, chat))
        self._write("UPDATE timers SET stopped = NULL WHERE stopped = ? AND chat = ?", (turn_id, chat))

    def open_case(self, chat: str) -> int:
        """The number of the case being worked on: the newest, 1 for a chat that has none yet."""
        return self._number("SELECT coalesce(max(case_no), 1) FROM cases WHERE chat = ?", (chat,))

    def new_case(self, chat: str) -> int:
        """Open the next case and give its number; earlier ones stay on record."""
        number = self._number("SELECT coalesce(max(case_no), 0) + 1 FROM cases WHERE chat = ?", (chat,))
        self._write("INSERT INTO cases VALUES (?, ?)", (chat, number))
        return number

    def cases(self, chat: str) -> list[tuple[int, str, str]]:
        """Number, first and last time of each case in which anything was said, oldest first."""
        # By order of arrival: each time carries an offset of its own, so that as text they do not sort.
        at = "SELECT at FROM turns WHERE turns.chat = cases.chat AND turns.case_no = cases.case_no ORDER BY id"
        times = f"SELECT case_no, ({at} LIMIT 1) AS first_at, ({at} DESC LIMIT 1) FROM cases WHERE chat = ?"
        return self._run(f"SELECT * FROM ({times}) WHERE first_at IS NOT NULL ORDER BY case_no", (chat,)).fetchall()

    # The kitchen

    def kitchen(self, chat: str) -> dict[str, str]:
        """What is known of this kitchen, whatever the case."""
        return dict(self._run("SELECT key, value FROM kitchen WHERE chat = ?", (chat,)).fetchall())

    def set_kitchen(self, chat: str, key: str, value: str) -> None:
        """Remember one thing about a kitchen in place of what was known of it."""
        self._write("INSERT OR REPLACE INTO kitchen VALUES (?, ?, ?)", (chat, key, value))

    # Reminders

    def replace_reminders(self, chat: str, case_no: int, reminders: Sequence[tuple[str, str]]) -> None:
        """Set a case's reminders, each (time, words), in place of those still to come. One told already stays told."""
        self._write("DELETE FROM reminders WHERE chat = ? AND case_no = ? AND told = 0", (chat, case_no))
        if reminders:
            self._write("INSERT OR IGNORE INTO cases VALUES (?, ?)", (chat, case_no))
        for at, says in reminders:
            # The key is (chat, case, time, words): the same reminder, told before, is what OR IGNORE leaves alone.
            new = "INSERT OR IGNORE INTO reminders (chat, case_no, at, says) VALUES (?, ?, ?, ?)"
            self._write(new, (chat, case_no, _utc(at), says))

    def due(self, chat: str, at_iso_utc: str) -> list[tuple[str, str]]:
        """The reminders of all cases that fell due by then, earliest first. Told once the turn is kept."""
        which = "WHERE chat = ? AND at <= ? AND told = 0"
        asked = (chat, _utc(at_iso_utc))
        found = self._run(f"SELECT at, says FROM reminders {which} ORDER BY at, case_no", asked).fetchall()
        if found:
            self._write(f"UPDATE reminders SET told = 1 {which}", asked)
        return found

    def to_come(self, chat: str) -> list[tuple[str, str]]:
        """The reminders of the open case that were not told yet, earliest first."""
        which = "WHERE chat = ? AND case_no = ? AND told = 0"
        asked = (chat, self.open_case(chat))
        return self._run(f"SELECT at, says FROM reminders {which} ORDER BY at", asked).fetchall()

    # Timers

    def set_timer(self, chat: str, turn_id: int, name: str, at_iso: str, says: str) -> None:
        """Start a timer: what it is called, when it is due, and what is told then. `turn_id`: the message that set it."""
        new = "INSERT INTO timers (chat, turn, name, at, says) VALUES (?, ?, ?, ?, ?)"
        self._write(new, (chat, turn_id, name, _utc(at_iso), says))

    def stop_timer(self, chat: str, timer_id: int, turn_id: int) -> None:
        """Stop a timer of this chat. `turn_id`: the message that stopped it, which may be undone."""
        self._write("UPDATE timers SET stopped = ? WHERE id = ? AND chat = ?", (turn_id, timer_id, chat))

    def timers(self, chat: str) -> list[tuple[int, str, str, str]]:
        """Number, name, time and words of each timer that runs or fell due and was not told, the first one due first."""
        running = "WHERE chat = ? AND told = 0 AND stopped IS NULL"
        return self._run(f"SELECT id, name, at, says FROM timers {running} ORDER BY at, id", (chat,)).fetchall()

    def timers_due(self, chat: str, at_iso_utc: str) -> list[tuple[str, str, str]]:
        """Time, name and words of the timers that fell due by then, earliest first. Told once the turn is kept."""
        which = "WHERE chat = ? AND at <= ? AND told = 0 AND stopped IS NULL"
        asked = (chat, _utc(at_iso_utc))
        found = self._run(f"SELECT at, name, says FROM timers {which} ORDER BY at, id", asked).fetchall()
        if found:
            self._write(f"UPDATE timers SET told = 1 {which}", asked)
        return found

    def anything_due(self, chat: str, at_iso_utc: str) -> bool:
        """Whether a reminder or a timer fell due by then. Takes no lock: it may be asked every second."""
        asked = (chat, _utc(at_iso_utc))
        timers = "SELECT 1 FROM timers WHERE chat = ? AND at <= ? AND told = 0 AND stopped IS NULL"
        reminders = "SELECT 1 FROM reminders WHERE chat = ? AND at <= ? AND told = 0"
        return any(self._run(f"{each} LIMIT 1", asked).fetchone() for each in (timers, reminders))

    # Forgetting

    def forget(self, chat: str) -> None:
        """Remove every trace of a chat, from the bytes of the file too. Alone, or as part of a turn."""
        if not self._db.in_transaction:
            with self.turn(chat):
                return self.forget(chat)
        gone = self._write("DELETE FROM cases WHERE chat = ?", (chat,)).rowcount  # takes turns, reminders and timers with it
        gone += self._write("DELETE FROM kitchen WHERE chat = ?", (chat,)).rowcount
        if gone:
            self._write("INSERT OR IGNORE INTO chores VALUES ('wipe')")
            self._to_wipe = "vacuum"

    def _wipe(self, wait_ms: int) -> None:
        """If a chat was forgotten, rewrite the file and empty its log, so that its words are in neither.

        secure_delete alone is not enough: when SQLite moves rows to a neighbouring page, copies may stay behind in the
        old one. What fails here (another program is reading, the disk is full) is tried again after the next turn, and
        the chore in the table makes sure of it even if this process dies first.
        """
        if not self._to_wipe:
            return
        with suppress(sqlite3.Error):
            self._db.execute(f"PRAGMA busy_timeout = {wait_ms}")
            if self._to_wipe == "vacuum":
                self._db.execute("VACUUM")
                self._to_wipe = "truncate"
            held_up, _, _ = self._db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
            if not held_up:
                self._db.execute("DELETE FROM chores")
                self._to_wipe = ""
        self._db.execute(f"PRAGMA busy_timeout = {BUSY_MS}")

    # Statements

    def _run(self, sql: str, values: Sequence[object] = ()) -> sqlite3.Cursor:
        try:
            return self._db.execute(sql, values)
        except sqlite3.Error as error:
            raise why(error, self._path) from error

    def _write(self, sql: str, values: Sequence[object] = ()) -> sqlite3.Cursor:
        if not self._db.in_transaction:
            raise RuntimeError("the store is changed inside `with store.turn(chat)` only")
        return self._run(sql, values)

    def _number(self, sql: str, values: Sequence[object] = ()) -> int:
        return int(self._run(sql, values).fetchone()[0])


def _utc(at_iso: str) -> str:
    """One spelling of a moment, so that text sorts as time."""
    moment = datetime.fromisoformat(at_iso)
    return (moment.astimezone(UTC) if moment.tzinfo else moment.replace(tzinfo=UTC)).isoformat()
