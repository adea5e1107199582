"""The file behind the store is opened safely, and one sentence says why when it cannot be."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import bot.store_file
from bot.store import Store, StoreError, default_path

ROOT = Path(__file__).resolve().parents[1]
NINE = "2026-08-01T09:00:00+02:00"


def say(store: Store, text: str) -> None:
    with store.turn("a"):
        store.append("a", 1, NINE, {"text": text})


def test_the_file_is_set_up_to_survive_power_loss_and_to_be_read_by_its_owner_only(path: Path, store: Store) -> None:
    found = {
        name: store._db.execute(f"PRAGMA {name}").fetchone()[0]
        for name in ("journal_mode", "synchronous", "foreign_keys", "secure_delete", "busy_timeout")
    }
    full, on = 2, 1
    expected = {"journal_mode": "wal", "synchronous": full, "foreign_keys": on, "secure_delete": on}
    assert found == {**expected, "busy_timeout": 5000}
    assert os.name == "nt" or path.stat().st_mode & 0o077 == 0


def test_a_start_with_tables_up_to_date_loads_nothing_heavy(path: Path) -> None:
    Store(path).close()
    code = "import sys\nfrom bot.store import Store\nStore(sys.argv[1]).close()\nprint(*sys.modules)"
    command = [sys.executable, "-c", code, str(path)]
    loaded = set(subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout.split())
    assert "sqlite3" in loaded and not loaded & {"sqlite_utils", "asyncio", "telegram", "yaml", "click"}


def test_a_migration_that_fails_leaves_no_half_made_tables(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(bot.store_file, "_TABLES_1", (*bot.store_file._TABLES_1, "CREATE NONSENSE"))
        with pytest.raises(StoreError):
            Store(path)
    store = Store(path)
    say(store, "one")
    assert len(store.load("a")) == 1
    store.close()


@pytest.mark.parametrize(
    ("platform", "environ", "expected"),
    [
        ("linux", {}, "home/.local/share/lidside/lidside.sqlite"),
        ("linux", {"XDG_DATA_HOME": "relative"}, "home/.local/share/lidside/lidside.sqlite"),
        ("linux", {"XDG_DATA_HOME": "{tmp}/data"}, "data/lidside/lidside.sqlite"),
        ("darwin", {}, "home/Library/Application Support/lidside/lidside.sqlite"),
        ("win32", {"LOCALAPPDATA": "{tmp}/local"}, "local/lidside/lidside.sqlite"),
    ],
)
def test_the_default_store_lives_where_the_platform_keeps_data(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, platform: str, environ: dict[str, str], expected: str
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("USERPROFILE", str(tmp_path / "home"))
    found = default_path(platform, {name: value.format(tmp=tmp_path) for name, value in environ.items()})
    assert found == tmp_path / expected and found.parent.is_dir()


# -- what cannot work is said in one sentence


def refused(path: Path) -> str:
    with pytest.raises(StoreError) as caught:
        Store(path)
    sentence = str(caught.value)
    assert sentence.endswith(".") and "\n" not in sentence and str(path.parent) in sentence
    return sentence


def test_a_file_that_is_no_database_is_refused_and_left_as_it_is(path: Path) -> None:
    path.write_text("a list of things to buy\n" * 100)
    assert "not a lidside store" in refused(path)
    assert path.read_text().startswith("a list")


def test_a_database_of_another_program_is_refused_and_left_as_it_is(path: Path) -> None:
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE accounts (name)")
    other.close()
    before = path.read_bytes()
    assert "not a lidside store" in refused(path)
    assert path.read_bytes() == before


def test_a_store_of_a_newer_version_is_refused(path: Path) -> None:
    store = Store(path)
    store._db.execute(f"PRAGMA user_version = {bot.store_file.VERSION + 1}")
    store.close()
    assert "newer" in refused(path)


def test_a_damaged_store_is_said_to_be_damaged(path: Path) -> None:
    store = Store(path)
    for n in range(50):
        say(store, f"{n}" * 1000)
    store.close()
    content = bytearray(path.read_bytes())
    content[4096:] = b"\xff" * (len(content) - 4096)
    path.write_bytes(content)
    assert "damaged" in refused(path)


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    assert f"{tmp_path / 'nowhere'} does not exist" in refused(tmp_path / "nowhere" / "store.sqlite")


def test_a_folder_in_place_of_a_file_is_said_to_be_one(tmp_path: Path) -> None:
    assert "is a folder" in refused(tmp_path)


@pytest.fixture
def as_ordinary_user(tmp_path: Path) -> Iterator[None]:
    """Permissions do not bind the administrator, who runs the tests in containers."""
    if os.name == "nt" or os.geteuid() != 0:
        yield
        return
    modes = {folder: folder.stat().st_mode for folder in (tmp_path, *tmp_path.parents)}
    closed = {folder: mode for folder, mode in modes.items() if not mode & 0o001}
    for folder, mode in closed.items():
        folder.chmod(mode | 0o001)
    os.seteuid(65534)
    yield
    os.seteuid(0)
    for folder, mode in closed.items():
        folder.chmod(mode)


@pytest.mark.parametrize(
    ("name", "file_mode", "folder_mode"),
    [
        ("store.sqlite", 0o444, 0o777),
        ("store.sqlite", 0o666, 0o555),
        ("store.sqlite", 0o444, 0o555),
        ("new.sqlite", 0o666, 0o555),
    ],
)
def test_a_file_or_folder_that_may_not_be_written_is_said_at_the_start(
    tmp_path: Path, request: pytest.FixtureRequest, name: str, file_mode: int, folder_mode: int
) -> None:
    folder = tmp_path / "shut"
    folder.mkdir()
    Store(folder / "store.sqlite").close()
    (folder / "store.sqlite").chmod(file_mode)
    folder.chmod(folder_mode)
    request.getfixturevalue("as_ordinary_user")
    assert "cannot be written" in refused(folder / name)


def test_a_full_disk_is_said_and_the_turn_is_not_half_kept(store: Store) -> None:
    say(store, "before")
    store._db.execute("PRAGMA max_page_count = 1")  # SQLite then says what it says of a full disk
    with pytest.raises(StoreError, match="full: free some space"), store.turn("a"):
        store.set_kitchen("a", "altitude", "high")
        store.append("a", 1, NINE, {"text": "x" * 100_000})
    store._db.execute("PRAGMA max_page_count = 100000")
    assert [turn["text"] for turn in store.load("a")] == ["before"] and store.kitchen("a") == {}


def test_a_store_held_by_another_program_is_said_at_the_start_and_at_a_turn(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bot.store_file, "BUSY_MS", 0)
    store = Store(path)
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    assert "Another program" in refused(path)
    with pytest.raises(StoreError, match="Another program"):
        say(store, "one")
    other.execute("ROLLBACK")
    other.close()
    say(store, "one")
    assert len(store.load("a")) == 1
    store.close()
