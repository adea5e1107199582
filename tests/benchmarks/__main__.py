"""Ratios in one table, in under a minute: a turn, a cold start, memory, questions, and the proof of the safety rules.

What takes time here is set against a bare baseline of the same run on the same machine, so that the ratio, not the seconds,
can be compared from one machine to the next.
"""

from __future__ import annotations

import json
import logging
import os
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import cycle, islice
from pathlib import Path
from statistics import median, quantiles

from bot.app import App
from bot.engine.turn import Engine
from bot.library import load
from bot.store import MEMORY, Store
from tests.engine.prove import proof
from tests.engine.test_questions import MOST_ABOVE_OPTIMAL, compared

ROOT = Path(__file__).resolve().parents[2]
CHATS = (10, 1_000, 100_000)
TURNS = 500
TURNS_EACH = 3  # of the chats that fill the store
STARTS = 15
CHAT_TURNS = 50
TUESDAY_TEN = datetime.fromisoformat("2026-07-14T10:00:00-05:00")
ASK = ("-m", "bot", "ask", "my jam is runny")
NOTHING = ("-c", "pass")
NEVER_LOADED = ("yaml", "sqlite_utils", "telegram")
SHOWN = 5  # of the modules that take longest to load
# Ratios not to exceed. A turn is mostly reckoning where commits are fast, and mostly waiting for the disk where they are slow.
MOST_TURN, MOST_GROWTH, MOST_START, MOST_MEMORY = 10.0, 1.2, 8.0, 5.0
PRAGMAS = ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON", "secure_delete = ON")

CONVERSATIONS = (
    ("my jam is runny", "strawberry", "powder from a packet", "10 minutes in the bath, kitchen timer", "rolling boil the whole time",
     "400 ft", "a tested recipe", "nothing changed", "why", "can't say", "thanks"),
    ("made 9 jars last night about 9pm, 2 did not seal", "peach jam", "on the counter", "boiled 10 minutes", "my kitchen", "help",
     "pint jars", "sealed lids are all fine otherwise", "undo", "the recipe is from a website"),
    ("my pickles went cloudy", "cucumbers in vinegar", "5 % vinegar", "no smell, no bubbles, lids are down", "12 minutes in the water bath",
     "what do you mean?", "1500 m", "quarts", "from the extension sheet", "how long do they keep?", "ok"),
    ("half the liquid is gone from 3 of 7 jars", "peaches in light syrup", "raw pack, 30 minutes", "they came out an hour ago",
     "all lids went down", "about 2,500 feet", "not sure", "not sure", "why do you ask"),
    ("green beans in a boiling water bath, 40 minutes", "yesterday evening", "nobody ate any", "start over", "marmalade does not set",
     "still in the pot", "I have no thermometer", "it drips in two drops", "seville oranges"),
)  # fmt: skip


@dataclass(frozen=True)
class Line:
    """One line of the table. `ratio` is measured against `baseline`; `target` is what it should not exceed."""

    what: str
    measured: str
    baseline: str
    ratio: float | None
    target: float | None


# -- turns -------------------------------------------------------------------------------------------------------------
def messages(run: str) -> Iterator[tuple[str, str, datetime]]:
    """Chat, text and time of messages without end: the conversations in turn, each time by somebody new."""
    at = TUESDAY_TEN
    for n, texts in enumerate(cycle(CONVERSATIONS)):
        for text in texts:
            at += timedelta(minutes=1)
            yield f"{run}-{n}", text, at


def fill(path: Path, upto: int) -> None:
    """Chats that said something once, straight into the tables, until there are so many in the store."""
    record = {
        "at": TUESDAY_TEN.isoformat(), "text": "strawberry jam, boiled 10 minutes, lids are down", "problems": ["runny"], "said": True,
        "observations": [{"evidence": "food", "answers": ["strawberry"]}, {"evidence": "sealed", "answers": ["yes"]}],
    }  # fmt: skip
    text = json.dumps(record, separators=(",", ":"))
    db = sqlite3.connect(path, isolation_level=None)
    (there,) = db.execute("SELECT count(*) FROM cases").fetchone()
    new = [f"other-{n}" for n in range(there, upto)]
    db.execute("PRAGMA synchronous = OFF")
    db.execute("BEGIN")
    db.executemany("INSERT INTO cases VALUES (?, 1)", ((chat,) for chat in new))
    turns = ((chat, record["at"], text) for chat in new for _ in range(TURNS_EACH))
    db.executemany("INSERT INTO turns (chat, case_no, at, record) VALUES (?, 1, ?, ?)", turns)
    db.execute("COMMIT")
    db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    db.close()


def bare(path: Path) -> sqlite3.Connection:
    """A file with one table and the settings of the store."""
    db = sqlite3.connect(path, isolation_level=None)
    for setting in PRAGMAS:
        db.execute(f"PRAGMA {setting}")
    db.execute("CREATE TABLE turns (id INTEGER PRIMARY KEY, record TEXT NOT NULL)")
    return db


def commit(db: sqlite3.Connection, record: str) -> None:
    db.execute("BEGIN IMMEDIATE")
    db.execute("INSERT INTO turns (record) VALUES (?)", (record,))
    db.execute("COMMIT")


def turns(folder: Path, engine: Engine) -> list[Line]:
    """One whole turn, text in, reply out and kept for good, each followed by one bare durable commit."""
    found: list[Line] = []
    work: list[float] = []
    db = bare(folder / "bare.sqlite")
    for chats in CHATS:
        path = folder / "store.sqlite"
        Store(path).close()
        fill(path, chats)
        whole, alone, busy = timed(App(engine, Store(path)), f"turns-{chats}", db)
        work.append(median(busy))
        for name, of in (("median", median), ("p99", p99)):
            found.append(
                against(f"a turn, {name}, {chats:,} chats in the store", of(whole), "bare commit", of(alone), MOST_TURN)
            )
    growth = "a turn, median, without the wait for the disk, 100,000 chats"
    found.append(against(growth, work[-1], "at 10 chats", work[0], MOST_GROWTH))
    unkept, alone, _ = timed(App(engine, Store(MEMORY)), "unkept", db)
    found.append(
        against("a turn, median, kept in memory only", median(unkept), "bare commit", median(alone), MOST_TURN)
    )
    db.close()
    return found


def timed(app: App, run: str, db: sqlite3.Connection) -> tuple[list[float], list[float], list[float]]:
    """Seconds of each turn, of the bare commit after it, and those the processor was busy with the turn."""
    whole: list[float] = []
    alone: list[float] = []
    busy: list[float] = []
    for chat, text, at in islice(messages(run), TURNS):
        start, worked = time.perf_counter(), time.process_time()
        reply = app.answer(chat, text, at)
        between = time.perf_counter()
        busy.append(time.process_time() - worked)
        commit(db, "x" * 500)
        alone.append(time.perf_counter() - between)
        whole.append(between - start)
        if reply.text == app.engine.text("cant-assess"):
            raise RuntimeError(f"a turn failed: {text}")
    app.store.close()
    return whole, alone, busy


def p99(seconds: list[float]) -> float:
    return quantiles(seconds, n=100)[98]


def against(what: str, seconds: float, baseline: str, base: float, target: float) -> Line:
    return Line(what, f"{seconds * 1e3:.2f} ms", f"{base * 1e3:.2f} ms {baseline}", seconds / base, target)


# -- other processes ---------------------------------------------------------------------------------------------------
def child(folder: Path, *arguments: str, given: str = "") -> subprocess.CompletedProcess[str]:
    """Python with these arguments, its compiled knowledge in a folder of its own."""
    environ = {**os.environ, "XDG_CACHE_HOME": str(folder / "cache"), "LOCALAPPDATA": str(folder / "cache")}
    environ["PYTHONPYCACHEPREFIX"] = str(folder / "bytecode")  # compiled modules are kept, as on any machine in use
    environ.pop("PYTHONDONTWRITEBYTECODE", None)
    command = [sys.executable, *arguments]
    return subprocess.run(
        command, cwd=ROOT, env=environ, input=given, capture_output=True, encoding="utf-8", check=True
    )


def starts(folder: Path) -> list[Line]:
    """A first answer from nothing but the compiled knowledge, against a Python that does nothing."""
    for _ in range(2):  # the first compiles the knowledge, the second notes that it is still true
        child(folder, *ASK)
    asking: list[float] = []
    nothing: list[float] = []
    for _ in range(STARTS):
        for arguments, seconds in ((ASK, asking), (NOTHING, nothing)):
            start = time.perf_counter()
            child(folder, *arguments)
            seconds.append(time.perf_counter() - start)
    took = loaded(folder, *ASK)
    there = loaded(folder, *NOTHING)
    wrong = [name for name in NEVER_LOADED if any(module.partition(".")[0] == name for module in took)]
    heaviest = sorted(took.keys() - there.keys(), key=lambda module: -took[module])[:SHOWN]
    return [
        against(
            'cold start of `ask "my jam is runny"`, median',
            median(asking),
            "python -c pass",
            median(nothing),
            MOST_START,
        ),
        Line("modules it loads", f"{len(took)}", f"{len(there)} python -c pass", len(took) / len(there), None),
        Line(f"of {', '.join(NEVER_LOADED)}", ", ".join(wrong) or "none", "none", float(len(wrong)), 0.0),
        *(Line(f"  {module}, by itself", f"{took[module] / 1e3:.1f} ms", "", None, None) for module in heaviest),
    ]


def loaded(folder: Path, *arguments: str) -> dict[str, int]:
    """Modules that are imported, with the microseconds each takes by itself."""
    report = child(folder, "-X", "importtime", *arguments).stderr
    rows = [
        line.removeprefix("import time:").split("|") for line in report.splitlines() if line.startswith("import time:")
    ]
    return {name.strip(): int(own) for own, _, name in rows if own.strip().isdigit()}


# A process takes over the peak of the one that started it, so a small one stands between: it reports that of its child.
PEAK = """
import resource, subprocess, sys
subprocess.run([sys.executable, *sys.argv[1:]], check=True, stdout=subprocess.DEVNULL)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""


def memory(folder: Path) -> list[Line]:
    """The most memory that a chat of 50 turns takes, all turns in one batch."""
    what = f"peak memory of a chat of {CHAT_TURNS} turns"
    if sys.platform == "win32":
        return [Line(what, "not measured on Windows", "", None, None)]
    said = islice(cycle(text for text in CONVERSATIONS[0] if text not in ("why", "thanks")), CHAT_TURNS)
    times = (TUESDAY_TEN + timedelta(minutes=n) for n in range(CHAT_TURNS))
    given = "\n".join(
        json.dumps({"chat": "me", "text": text, "at": at.isoformat()}) for text, at in zip(said, times, strict=True)
    )
    chat = ("-m", "bot", "chat", "--json", "--store", str(folder / "memory.sqlite"))
    unit = 2**20 if sys.platform == "darwin" else 2**10
    most, least = (int(child(folder, "-c", PEAK, *each, given=given).stdout) / unit for each in (chat, NOTHING))
    return [Line(what, f"{most:.1f} MiB", f"{least:.1f} MiB python -c pass", most / least, MOST_MEMORY)]


# -- questions and safety ----------------------------------------------------------------------------------------------
def questions() -> list[Line]:
    """Questions that are asked against the fewest that would do, over made-up problems."""
    found = compared()
    asked = f"{found.greedy:.3f} questions"
    return [
        Line(
            f"questions about causes, {found.problems} problems",
            asked,
            f"{found.optimal:.3f} optimal",
            found.greedy / found.optimal,
            MOST_ABOVE_OPTIMAL,
        ),
        Line("the same, worst problem", "", "optimal", found.worst, None),
        Line("the same", asked, f"{found.bound:.3f} entropy bound", found.greedy / found.bound, None),
    ]


def safety() -> list[Line]:
    """Doubt and danger never open an act: over how many combinations, and for how many rules not."""
    found = proof()
    stands = "all hold" if not found.broken else f"{len(found.broken)} do not hold"
    return [
        Line(
            f"safety proof, {found.rules} rules",
            f"{found.combinations:,} combinations, {stands}",
            "",
            float(len(found.broken)),
            0.0,
        )
    ]


def table(lines: list[Line]) -> str:
    rows = [("what", "measured", "baseline", "ratio", "target")]
    for line in lines:
        ratio, target = ("" if each is None else f"{each:.2f}" for each in (line.ratio, line.target))
        over = " !" if line.ratio is not None and line.target is not None and line.ratio > line.target else ""
        rows.append((line.what, line.measured, line.baseline, ratio + over, target and f"<= {target}"))
    widths = [max(len(row[n]) for row in rows) for n in range(4)]
    return "\n".join(
        "  ".join((*(cell.ljust(width) for cell, width in zip(row, widths, strict=False)), row[4])).rstrip()
        for row in rows
    )


def main() -> int:
    logging.disable(logging.CRITICAL)
    start = time.perf_counter()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        lines = [*turns(folder, Engine(load())), *starts(folder), *memory(folder), *questions(), *safety()]
    print(table(lines))
    print(
        f"\n{sys.platform}, Python {sys.version.split()[0]}, {time.perf_counter() - start:.0f} s in all; ! is over its target"
    )
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
