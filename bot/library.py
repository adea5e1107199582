"""Where is the knowledge, is it sound, and how does it get into records within milliseconds?

YAML is parsed and checked once. What came out is kept as JSON in a cache folder, under a name made from the content of
the knowledge files and of the modules that read them; JSON and not pickle, since reading it cannot run code. A copy that
is missing, damaged or of another version is made anew, and without a writable cache everything works, only slower.
Nothing but the compiling imports a YAML reader.
"""

from __future__ import annotations

import gc
import json
import os
import time
from collections.abc import Iterable
from contextlib import suppress
from typing import TYPE_CHECKING, Any
from zlib import crc32

from bot import __version__
from bot.engine.knowledge import Knowledge
from bot.knowledge_copy import packed, unpacked

if TYPE_CHECKING:
    from datetime import date
    from pathlib import Path

    from bot.located_yaml import Fault

_HERE = os.path.dirname(os.path.abspath(__file__))
_READERS = (
    *("library.py", "located_yaml.py", "knowledge_shape.py", "knowledge_links.py", "knowledge_copy.py", "knowledge_figures.py"),
    *("engine/knowledge.py", "engine/lexicon.py", "engine/phrases.py", "engine/words.py"),
)
_join = os.path.join
_KEPT_COPIES = 4  # checkouts and versions may share a cache folder without throwing each other's copies out
_CLOCK_GRAIN = 2.0  # seconds; a file this young could change once more without its time stamp showing it
_UNUSABLE = (OSError, ValueError, LookupError, TypeError, AttributeError)


class KnowledgeFaults(Exception):
    """The knowledge is not sound, so nothing may be answered from it."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__(faults_as_text(faults))
        self.faults = faults


def faults_as_text(faults: Iterable[Fault]) -> str:
    """Faults as lines, `file:line: what, why, what to do`."""
    return "\n".join(str(fault) for fault in faults)


def find_folder() -> Path:
    """The knowledge installed inside the package, or the one beside it in a checkout."""
    from pathlib import Path

    return Path(_find_folder())


def _find_folder() -> str:
    for folder in (_join(_HERE, "_knowledge"), _join(os.path.dirname(_HERE), "knowledge")):
        if os.path.isdir(folder):
            return folder
    raise FileNotFoundError(f"no knowledge folder in {_HERE} or beside it; install the package again")


def check(folder: Path, today: date) -> tuple[list[Fault], list[Fault]]:
    """All faults of all files, and warnings about what is sound but old."""
    from bot.knowledge_links import check_age

    plain, faults = _compile(_contents(folder), folder.resolve().name)
    return faults, check_age(plain, today)


def load(folder: Path | None = None, cache_dir: Path | None = None) -> Knowledge:
    """The knowledge as records, from the cached copy where that is still true; raises KnowledgeFaults."""
    collecting = gc.isenabled()
    gc.disable()  # nothing made here is garbage, and looking for some costs a third of the time
    try:
        return _load(str(folder or _find_folder()), str(cache_dir) if cache_dir else _default_cache())
    finally:
        if collecting:
            gc.enable()


def _load(folder: str, cache: str | None) -> Knowledge:
    stamp, youngest = _stamp(folder)
    stamp_file = _join(cache, f"stamp-{crc32(os.fsencode(os.path.realpath(folder))):08x}.json") if cache else None
    stamped = _read_stamp(stamp_file, stamp)
    if cache and stamped and (found := _read_copy(_join(cache, f"knowledge-{stamped}.jsonl"))):
        return found
    contents = _contents(folder)
    version = _digest(each for name in sorted(contents) for each in (os.fsencode(name), contents[name]))
    name = _digest([version.encode(), *_program()])
    copy = _join(cache, f"knowledge-{name}.jsonl") if cache else None
    found = _read_copy(copy) if copy else None
    if found is None:
        plain, faults = _compile(contents, os.path.basename(os.path.realpath(folder)))
        if faults:
            raise KnowledgeFaults(faults)
        from bot.engine.lexicon import build

        without = unpacked(json.loads(json.dumps(packed({**plain, "version": version}))))
        whole = packed({**plain, "version": version, "lexicon": build(without)})
        body = json.dumps(whole, separators=(",", ":")).encode()
        if copy:
            _write(copy, _head(body) + b"\n" + body)
            _drop_old_copies(os.path.dirname(copy))
        found = unpacked(json.loads(body))
    if stamp_file and youngest + _CLOCK_GRAIN < time.time():
        _write(stamp_file, json.dumps([stamp, name]).encode())
    return found


def _read(file: str | Path) -> bytes:
    with open(file, "rb") as opened:
        return opened.read()


def _digest(parts: Iterable[bytes]) -> str:
    from hashlib import blake2b  # loads OpenSSL: not on the way of a start from a copy

    total = blake2b(digest_size=16)
    for part in parts:
        total.update(b"%d:" % len(part) + part)  # lengths, so that text moved from one file to the next shows
    return total.hexdigest()


def _files(folder: str | Path) -> list[str]:
    """Paths in the folder of all files that are not hidden and not notes to readers, in a steady order."""
    found: list[str] = []
    for where, folders, names in os.walk(folder):
        folders[:] = [each for each in folders if not each.startswith((".", "__"))]
        found += [_join(where, each) for each in names if not each.startswith(".") and not each.endswith(".md")]
    return sorted(found)


def _contents(folder: str | Path) -> dict[str, bytes]:
    return {os.path.relpath(each, folder).replace(os.sep, "/"): _read(each) for each in _files(folder)}


def _program() -> list[bytes]:
    there = [each for each in (_join(_HERE, name) for name in _READERS) if os.path.isfile(each)]  # an installation may lack sources
    return [__version__.encode(), *(_read(each) for each in there)]


def _stamp(folder: str) -> tuple[str, float]:
    """Names, sizes and times of everything a copy depends on: enough to see that nothing was touched."""
    parts, youngest = [__version__], 0.0
    for each in [*_files(folder), *(_join(_HERE, each) for each in _READERS)]:
        with suppress(OSError):
            about = os.stat(each)
            parts.append(f"{each} {about.st_size} {about.st_mtime_ns}")
            youngest = max(youngest, about.st_mtime)
    return ascii(parts), youngest


# --- The cache folder ---


def _default_cache() -> str | None:
    for name in ("XDG_CACHE_HOME", "LOCALAPPDATA"):
        if os.path.isabs(place := os.environ.get(name, "")):
            return _join(place, "lidside")
    home = os.path.expanduser("~")
    return None if home == "~" else _join(home, ".cache", "lidside")  # nobody's home, as in some containers


def _head(body: bytes) -> bytes:
    return json.dumps({"lidside": __version__, "bytes": len(body), "sum": crc32(body)}).encode()


def _read_stamp(file: str | None, stamp: str) -> str | None:
    """The name of the copy that was right when the stamp was the same as now."""
    with suppress(*_UNUSABLE):
        then, name = json.loads(_read(file)) if file else ("", "")
        return str(name) if then == stamp else None
    return None


def _read_copy(file: str | Path) -> Knowledge | None:
    """The records of a copy, or None when it is absent, cut short, altered, or of another version."""
    with suppress(*_UNUSABLE):
        head, _, body = _read(file).partition(b"\n")
        return unpacked(json.loads(body)) if head == _head(body) else None
    return None


def _write(path: str, content: bytes) -> None:
    """Whole or not at all: readers in other processes never see half a file."""
    from pathlib import Path

    file = Path(path)
    part = file.with_name(f".{file.name}.{os.getpid()}.{time.monotonic_ns()}")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        part.write_bytes(content)
        part.replace(file)
    except OSError:
        with suppress(OSError):
            part.unlink()


def _drop_old_copies(cache: str) -> None:
    from pathlib import Path

    with suppress(OSError):
        copies = sorted(Path(cache).glob("knowledge-*.jsonl"), key=lambda each: each.stat().st_mtime)
        for each in copies[:-_KEPT_COPIES]:
            each.unlink()


# --- YAML into plain, plain into records ---


def _compile(contents: dict[str, bytes], shown_as: str) -> tuple[Any, list[Fault]]:
    from bot.knowledge_conflicts import check_conflicts
    from bot.knowledge_figures import check_figures
    from bot.knowledge_links import check_links_and_sense
    from bot.knowledge_shape import read_shape

    plain, faults, readable = read_shape(contents, shown_as)
    # With a file missing, everything that points into it would be complained of too.
    if readable:
        faults = faults + check_links_and_sense(plain) + check_conflicts(plain) + check_figures(plain)
    return plain, sorted(set(faults), key=lambda fault: (fault.file, fault.line, fault.what))
