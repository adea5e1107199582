"""The file behind the store: where it lives, how it is opened, its tables, and what to say when it cannot be used."""

from __future__ import annotations

import errno
import os
import sqlite3
import sys
from collections.abc import Mapping
from pathlib import Path

VERSION = 2  # of the tables, kept in PRAGMA user_version
OURS = 0x6C696473  # PRAGMA application_id: tells our files from another program's
MEMORY = ":memory:"
BUSY_MS = 5000

_TABLES_1 = (
    "CREATE TABLE cases (chat TEXT NOT NULL, case_no INTEGER NOT NULL, PRIMARY KEY (chat, case_no)) WITHOUT ROWID",
    """CREATE TABLE turns (
        id INTEGER PRIMARY KEY, chat TEXT NOT NULL, case_no INTEGER NOT NULL,
        at TEXT NOT NULL, record TEXT NOT NULL, undone INTEGER NOT NULL DEFAULT 0,
        FOREIGN KEY (chat, case_no) REFERENCES cases ON DELETE CASCADE)""",
    "CREATE INDEX turns_of_case ON turns (chat, case_no, id)",
    """CREATE TABLE kitchen (chat TEXT NOT NULL, key TEXT NOT NULL, value TEXT NOT NULL,
        PRIMARY KEY (chat, key)) WITHOUT ROWID""",
    """CREATE TABLE reminders (
        chat TEXT NOT NULL, case_no INTEGER NOT NULL, at TEXT NOT NULL, says TEXT NOT NULL,
        told INTEGER NOT NULL DEFAULT 0, PRIMARY KEY (chat, case_no, at, says),
        FOREIGN KEY (chat, case_no) REFERENCES cases ON DELETE CASCADE) WITHOUT ROWID""",
    "CREATE INDEX reminders_pending ON reminders (chat, at) WHERE told = 0",
    "CREATE TABLE chores (name TEXT PRIMARY KEY) WITHOUT ROWID",
)
# A timer belongs to the turn that set it, and knows the turn that stopped it, so that either can be undone.
_TABLES_2 = (
    """CREATE TABLE timers (
        id INTEGER PRIMARY KEY, chat TEXT NOT NULL, turn INTEGER NOT NULL REFERENCES turns ON DELETE CASCADE,
        name TEXT NOT NULL, at TEXT NOT NULL, says TEXT NOT NULL,
        stopped INTEGER REFERENCES turns ON DELETE SET NULL, told INTEGER NOT NULL DEFAULT 0)""",
    "CREATE INDEX timers_running ON timers (chat, at) WHERE told = 0 AND stopped IS NULL",
    "CREATE INDEX timers_of_turn ON timers (turn)",
    "CREATE INDEX timers_stopped_by ON timers (stopped) WHERE stopped IS NOT NULL",
)


class StoreError(Exception):
    """The store cannot be used. The message is one sentence that says what to do."""


_NAME_ANOTHER = "name another file with --store."
_NOT_OURS = "{path} is not a lidside store: " + _NAME_ANOTHER
_NEWER = "{path} was written by a newer lidside: bring lidside up to date, or " + _NAME_ANOTHER
_DAMAGED = "{path} is damaged: put a backup copy in its place, or " + _NAME_ANOTHER
_READ_ONLY = "{path} cannot be written: make the file and its folder writable, or " + _NAME_ANOTHER
_NO_FOLDER = "The folder {path.parent} does not exist: make it first, or " + _NAME_ANOTHER
_FULL = "The disk that holds {path} is full: free some space, then send the message again."
_HELD = "Another program is holding {path}: close that program, then try again."
_TROUBLE = "{path} could not be used ({reason}): try again, or " + _NAME_ANOTHER
_SQLITE = {
    sqlite3.SQLITE_NOTADB: _NOT_OURS,
    sqlite3.SQLITE_CORRUPT: _DAMAGED,
    sqlite3.SQLITE_FULL: _FULL,
    # CANTOPEN: the file itself could be opened, so it is its log in the same folder.
    **dict.fromkeys((sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN), _READ_ONLY),
    **dict.fromkeys((sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED), _HELD),
}
_SYSTEM = {
    errno.EISDIR: "{path} is a folder: name a file in it with --store.",
    **dict.fromkeys((errno.ENOENT, errno.ENOTDIR), _NO_FOLDER),
    **dict.fromkeys((errno.ENOSPC, errno.EDQUOT), _FULL),
    **dict.fromkeys((errno.EACCES, errno.EPERM, errno.EROFS), _READ_ONLY),
}


def why(error: sqlite3.Error, path: str | Path) -> Exception:
    """What to raise in place of an error of SQLite."""
    code = getattr(error, "sqlite_errorcode", None)
    if code is None:
        return error  # not from SQLite itself: a mistake of ours, such as the wrong thread
    return StoreError(_SQLITE.get(code & 0xFF, _TROUBLE).format(path=path, reason=error))


def damaged(path: str | Path) -> StoreError:
    """For contents that make no sense although SQLite could read them."""
    return StoreError(_DAMAGED.format(path=path))


def default_path(platform: str = sys.platform, environ: Mapping[str, str] = os.environ) -> Path:
    """Where the store lives when nobody names a file. The folder is made if it is not there yet."""
    home = Path("~")
    if platform == "win32":
        base = Path(environ.get("LOCALAPPDATA") or home / "AppData" / "Local")
    elif platform == "darwin":
        base = home / "Library" / "Application Support"
    else:
        named = Path(environ.get("XDG_DATA_HOME", ""))
        # A relative XDG_DATA_HOME is to be ignored, says the standard that defines it.
        base = named if named.is_absolute() else home / ".local" / "share"
    path = base / "lidside" / "lidside.sqlite"
    try:
        path = path.expanduser()
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    except (OSError, RuntimeError):  # the second when there is no home folder
        raise StoreError(f"The folder {path.parent} could not be made: {_NAME_ANOTHER}") from None
    return path


def open_file(path: str | Path) -> sqlite3.Connection:
    """A connection ready for use, its tables up to date. Transactions are begun and ended by the caller."""
    if path != MEMORY:
        _make_private(Path(path))
    db = sqlite3.connect(path, timeout=BUSY_MS / 1000, isolation_level=None)
    try:
        _prepare(db, path)
    except sqlite3.Error as error:
        db.close()
        raise why(error, path) from error
    except BaseException:
        db.close()
        raise
    return db


def _make_private(path: Path) -> None:
    """Make the file, if it is not there, so that nobody else on the machine may read it."""
    try:
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
    except OSError as error:
        raise StoreError(_SYSTEM.get(error.errno or 0, _TROUBLE).format(path=path, reason=error.strerror)) from None


def _prepare(db: sqlite3.Connection, path: str | Path) -> None:
    def number(sql: str) -> int:
        return int(db.execute(sql).fetchone()[0])

    if number("SELECT count(*) FROM sqlite_master") and number("PRAGMA application_id") != OURS:
        raise StoreError(_NOT_OURS.format(path=path))
    if number("PRAGMA user_version") > VERSION:
        raise StoreError(_NEWER.format(path=path))
    # FULL, because a reply may go out as soon as its turn is committed: power loss must not unsay it.
    for setting in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON", "secure_delete = ON"):
        db.execute(f"PRAGMA {setting}").fetchall()
    # Finds out now, not at the first message, when nothing may be written. If anything fails, closing rolls it back.
    db.execute("BEGIN IMMEDIATE")
    if number("PRAGMA user_version") < VERSION:  # read again: another process may have been first
        _migrate(db)
    db.execute("COMMIT")


def _migrate(connection: sqlite3.Connection) -> None:
    """Bring older tables up to date, inside the transaction that is open: all of it or nothing."""
    # Imported here because it takes longer than all the rest of a start, and is needed once a version.
    from sqlite_utils import Database, Migrations

    steps = Migrations("lidside")

    @steps()
    def first_tables(db: Database) -> None:
        for statement in _TABLES_1:
            db.execute(statement)

    @steps()
    def table_of_timers(db: Database) -> None:
        for statement in _TABLES_2:
            db.execute(statement)

    steps.apply(Database(connection, execute_plugins=False))
    connection.execute(f"PRAGMA application_id = {OURS}")
    connection.execute(f"PRAGMA user_version = {VERSION}")
