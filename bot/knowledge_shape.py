"""Are the knowledge files built from the right fields? Walks located nodes and the records of engine/knowledge.py together.

The records are the schema, so a field added there is read, checked and explained here without a second list. What comes
out is plain dicts and lists under the records' own field names, ready for JSON, which still know their lines.
"""

from __future__ import annotations

import re
import types
import typing
from collections.abc import Callable
from datetime import date
from functools import cache
from pathlib import PurePosixPath
from typing import Any

from bot.engine import knowledge as records
from bot.located_yaml import Entry, Fault, Items, Listing, Mapping, Node, Text, did_you_mean, read_located

NO_LIMIT = 1e9  # hours; what `any` is written as
MAX_LABEL = 28  # characters that fit a button
MAX_QUESTION = 20  # words
WORD_KINDS = ("choice", "several")
NUMBER_KINDS = ("minutes", "altitude", "temperature", "percent", "count", "length", "volume", "weight")
SPEAKS_FOR = ("all-but-proves", "strongly-for", "for", "slightly-for")
SPEAKS_AGAINST = ("slightly-against", "against", "strongly-against", "rules-out")
HOW_COMMON = ("usual", "common", "uncommon", "rare")

_WORDS_OF: dict[tuple[str, str], tuple[str, ...]] = {
    ("Source", "kind"): ("published", "practice", "worked-out"),
    ("Evidence", "of"): ("batch", "jars"),
    ("Evidence", "kind"): (*WORD_KINDS, "food", "clock", *NUMBER_KINDS),
    ("Evidence", "effort"): ("1", "2", "3"),
    ("Phrase", "weight"): ("1", "2", "3"),
    ("Sign", "speaks"): (*SPEAKS_FOR, *SPEAKS_AGAINST),
    ("Cause", "how_common"): HOW_COMMON,
    ("Fix", "when"): ("now", "this-batch"),
    ("Fix", "act"): records.ACTS,
    ("Problem", "stage"): ("pot", "canner", "jars"),
    ("Problem", "flaw"): ("set", "looks", "texture", "seal", "liquid"),
    ("Rule", "handle"): ("hazard",),
    ("Food", "acidity"): records.COMPUTED["acidity"],
    ("Food", "gel"): ("rich", "middling", "poor"),
}
_YAML_NAMES = {("Phrase", "text"): "phrase"}
# These are then empty: which kinds of evidence need answers is judged with the links, and a reply claims nothing.
_MAY_BE_MISSING = {("Evidence", "answers"): Entry("", 1), ("Reply", "sources"): Items()}
_MAY_BE_EMPTY = {("Evidence", "asks")}  # heard, but never asked
_LENGTHS = {("Answer", "label"): MAX_LABEL, ("Problem", "short"): MAX_LABEL}
_ID = re.compile(r"[a-z0-9]+([-_.][a-z0-9]+)*")
_NUMBER = re.compile(r"-?\d+(\.\d+)?")
_SPAN = re.compile(r"(\d+(?:\.\d+)?) ?(min|h|d)")
_HOURS = {"min": 1 / 60, "h": 1.0, "d": 24.0}

_ONE_FILE = {"sources": records.Source, "foods": records.Food, "replies": records.Said}
_ONE_FOLDER = {"evidence": records.Evidence, "asked": records.Asked}
_COMPULSORY = ("sources.yaml", "foods.yaml", "replies.yaml", "strengths.yaml", "words/ordinary.txt")


@cache
def _fields(record: Any) -> dict[str, tuple[str, Any, bool]]:
    """The fields a file may give for a record, under their YAML names: own name, type, and whether it is compulsory."""
    hints = typing.get_type_hints(record)
    given = [each for each in record._fields if each != "id"]
    names = [_YAML_NAMES.get((record.__name__, each), each.rstrip("_")) for each in given]
    return {name: (each, hints[each], each not in record._field_defaults) for name, each in zip(names, given, strict=True)}


class _Shape:
    """Walks nodes and types together. Whatever does not fit becomes a fault and is left out."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []
        self.file = ""

    def fault(self, line: int, what: str, why_or_todo: str) -> None:
        self.faults.append(Fault(self.file, line, what, why_or_todo))

    def value(self, node: Node, line: int, hint: Any, owner: str = "", name: str = "") -> Any:
        """The node as the type that the schema asks for, or None after a fault. `line` is that of its key."""
        origin, inner = typing.get_origin(hint), typing.get_args(hint)
        if origin is types.UnionType:  # always "or None"
            return self.value(node, line, inner[0], owner, name)
        if origin is tuple:
            nodes = node.items if isinstance(node, Listing) else [node]  # a list of one needs no brackets
            read = [(self.value(each, each.line, inner[0], owner, name), each.line) for each in nodes]
            return Items(pair for pair in read if pair[0] is not None)
        if origin is dict and inner[1] is float:
            return self.mapping(node, line, self._hours, known=records.CLOCKS)
        if origin is dict:
            known = records.ACTS if name == "leaves" else ()
            return self.mapping(node, line, lambda each, at: self.value(each, at, inner[1]), known)
        if hasattr(hint, "_fields"):
            return self.record(node, line, hint)
        text = self.text(node, line, (owner, name) in _MAY_BE_EMPTY)
        return None if text is None else self._word(text, node.line, hint, owner, name)

    def record(self, node: Node, line: int, record: type, kind: str = "") -> Entry | None:
        kind, fields = kind or record.__name__, _fields(record)
        if record is records.Phrase and isinstance(node, Text):
            node = Mapping(node.line, {"phrase": node}, {"phrase": node.line})
        if not isinstance(node, Mapping):
            self.fault(node.line, f"a {kind} must be a mapping of fields", f"its fields: {', '.join(fields)}")
            return None
        entry = Entry(self.file, line, kind)
        for key, value_node in node.entries.items():
            at = node.key_lines[key]
            if key not in fields:
                self.fault(at, f"'{key}' is not a field of {kind}", did_you_mean(key, fields))
                continue
            name, hint, compulsory = fields[key]
            value = self.value(value_node, at, hint, kind, name)
            if value is not None:
                entry.put(name, value, at)
            if value == [] and compulsory and isinstance(value_node, Listing):
                self.fault(at, f"'{key}' of {kind} is empty", "it is compulsory")
        for key, (_, _, compulsory) in fields.items():
            if (kind, key) in _MAY_BE_MISSING:
                entry.setdefault(key, _MAY_BE_MISSING[kind, key])
            elif compulsory and key not in node.entries:
                todo = "nothing is told without a source" if key == "sources" else "it is compulsory"
                self.fault(line, f"{kind} needs '{key}'", todo)
        return entry

    def mapping(
        self, node: Node, line: int, read: Callable[[Node, int], Any], known: tuple[str, ...] = ()
    ) -> Entry | None:
        """A mapping from ids, or from the `known` words, to whatever `read` makes of the values."""
        if not isinstance(node, Mapping):
            self.fault(node.line, "a mapping from names should stand here", "write 'name: ...' lines")
            return None
        entry = Entry(self.file, line)
        for key, value_node in node.entries.items():
            at = node.key_lines[key]
            if known and key not in known:
                self.fault(at, f"'{key}' is not one of {', '.join(known)}", did_you_mean(key, known))
            elif not _ID.fullmatch(key):
                self.fault(at, f"'{key}' cannot be an id", "use small letters, digits and hyphens")
            elif (value := read(value_node, at)) is not None:
                entry.put(key, value, at)
        return entry

    def text(self, node: Node, line: int, may_be_empty: bool = False) -> str | None:
        if not isinstance(node, Text):
            self.fault(node.line, "a text should stand here", "put quotes round a text that begins with { or [")
            return None
        if not (text := node.text.strip()) and not may_be_empty:
            self.fault(line, "a text is missing here", "fill it in or drop the field")
            return None
        return text

    def _hours(self, node: Node, line: int) -> float | None:
        text = self.text(node, line)
        if text is None or text == "any":
            return None if text is None else NO_LIMIT
        if not (span := _SPAN.fullmatch(text)):
            self.fault(line, f"'{text}' is not a limit", "write it like '24 h', '4 d' or 'any'")
            return None
        return float(span[1]) * _HOURS[span[2]]

    def _word(self, text: str, line: int, hint: Any, owner: str, name: str) -> Any:
        words = ("yes", "no") if hint is bool else _WORDS_OF.get((owner, name), ())
        if words and text not in words:
            self.fault(line, f"'{text}' is not one of {', '.join(words)}", did_you_mean(text, words))
            return None
        if hint is bool:
            return text == "yes"
        if hint is str:
            self._length(text, line, owner, name)
            return text
        if not _NUMBER.fullmatch(text) or (hint is int and "." in text):
            self.fault(line, f"'{text}' is not a number", "write digits only, the unit is known")
            return None
        return hint(text)

    def _length(self, text: str, line: int, owner: str, name: str) -> None:
        most, words = _LENGTHS.get((owner, name)), len(text.split())
        if most and len(text) > most:
            self.fault(line, f"'{text}' has {len(text)} characters, {most} fit", "it stands on a button: shorten it")
        if (owner, name) == ("Evidence", "asks") and words > MAX_QUESTION:
            self.fault(line, f"the question has {words} words, {MAX_QUESTION} are allowed", "shorten it")
        if (owner, name) == ("Problem", "reviewed") and not _is_date(text):
            self.fault(line, f"'{text}' is not a date", "write it like 2024-11-30")


def _is_date(text: str) -> bool:
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


class _Folder(_Shape):
    """Reads every file of the knowledge folder into the section it belongs to."""

    def __init__(self) -> None:
        super().__init__()
        self.plain = Entry("", 1)
        self._first: dict[tuple[str, str], str] = {}  # where an id was met first
        for each in records.Knowledge._fields:
            if each not in ("ordinary", "version", "lexicon"):
                self.plain[each] = Entry("", 1)

    def take(self, path: PurePosixPath, node: Node) -> bool:
        """Reads one file; False when no part of the program would ever look at it."""
        folder, stem = path.parent.as_posix(), path.stem
        if folder == "." and stem in _ONE_FILE:
            self._records(stem, node, 1, _ONE_FILE[stem])
        elif folder == "." and stem == "strengths":
            self._named_sections(node, {"strengths": self._figures, "how_common": self._figures})
        elif folder == "safety":
            self._named_sections(node, {"rules": self._rules, "exceptions": self._rules})
        elif folder in _ONE_FOLDER:
            self._records(folder, node, 1, _ONE_FOLDER[folder])
        elif folder == "words":
            self._add("concepts", self.value(node, 1, records.Condition))
        elif folder == "problems":
            problem = Mapping(1, {stem: node}, {stem: 1})
            self._records(folder, problem, 1, records.Problem)
        elif folder == "tables":
            self.plain[folder].put(stem, self._table(node, 1, "Table"), 1)
        else:
            return False
        return True

    def _records(self, section: str, node: Node, line: int, record: type) -> None:
        kind = "Reply" if section == "replies" else ""
        self._add(section, self.mapping(node, line, lambda each, at: self.record(each, at, record, kind)))

    def _add(self, section: str, found: Entry | None) -> None:
        whole = self.plain[section]
        for key, value in (found or {}).items():
            line = found.at(key) if found else 1
            here = f"{self.file}:{line}"
            if (first := self._first.setdefault((section, key), here)) != here:
                self.fault(line, f"'{key}' already stands at {first}", "join the two, or rename one")
            else:
                whole.put(key, value, line)

    def _named_sections(self, node: Node, readers: dict[str, Callable[[str, Node, int], None]]) -> None:
        self.mapping(node, 1, lambda *_: None, known=tuple(readers))  # complains of other names
        if isinstance(node, Mapping):
            for key in node.entries.keys() & readers.keys():
                readers[key](key, node.entries[key], node.key_lines[key])

    def _rules(self, section: str, node: Node, line: int) -> None:
        self._records(section, node, line, records.Rule if section == "rules" else records.RuleException)

    def _figures(self, section: str, node: Node, line: int) -> None:
        words = HOW_COMMON if section == "how_common" else (*SPEAKS_FOR, *SPEAKS_AGAINST)
        self._add(section, self.mapping(node, line, lambda each, at: self.value(each, at, float), known=words))
        for missing in [each for each in words if each not in self.plain[section]]:
            self.fault(line, f"'{missing}' has no figure under {section}", "each word needs one")

    def _table(self, node: Node, line: int, record: str) -> Any:
        """Published figures stay text. A row is the outermost mapping that holds a text; it must name its sources."""
        if isinstance(node, Text):
            return self.text(node, line)
        if isinstance(node, Listing):
            inner = "Group" if record == "Table" else record
            return Items((self._table(each, each.line, inner), each.line) for each in node.items)
        if record == "Group" and any(isinstance(each, Text) for each in node.entries.values()):
            record = "Row"
            if "sources" not in node.entries:
                self.fault(line, "this row of a table needs 'sources'", "nothing is told without a source")
        entry = Entry(self.file, line, record)
        for key, each in node.entries.items():
            at = node.key_lines[key]
            inner = "Group" if record in ("Table", "Group") else "Cell"
            value = self.value(each, at, tuple[str, ...]) if key == "sources" else self._table(each, at, inner)
            entry.put(key, value, at)
        return entry


def read_shape(files: dict[str, bytes], shown_as: str) -> tuple[Entry, list[Fault], bool]:
    """All files (by their path in the folder) as one plain tree, the faults, and whether every file could be read."""
    folder, readable = _Folder(), True
    for name in sorted(files):
        path = PurePosixPath(name)
        folder.file = f"{shown_as}/{name}"
        if name == "words/ordinary.txt":
            lines = files[name].decode("utf-8", "replace").splitlines()
            folder.plain["ordinary"] = " ".join(" ".join(each for each in lines if not each.startswith("#")).split())
            continue
        node, faults = read_located(files[name], folder.file) if path.suffix == ".yaml" else (Text("", 1), [])
        folder.faults += faults
        readable = readable and node is not None
        if node is not None and not (path.suffix == ".yaml" and folder.take(path, node)):
            folder.fault(1, "nothing reads this file", "move it to where its kind belongs, or delete it")
    for name in _COMPULSORY:
        if name not in files:
            folder.file, readable = f"{shown_as}/{name}", False
            folder.fault(1, "this file is missing", "the program cannot start without it")
    return folder.plain, folder.faults, readable
