"""What does this YAML file say, and on which line? Reads a file into nodes that keep line numbers.

Every scalar stays text: plain YAML turns `no` into a falsehood, `1:30` into 90 and `010` into 8, and answers like these
are what the knowledge is made of. The tree is built from parser events, since anchors and tags cannot be refused any
later than that.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

import yaml

# The C parser is about seven times as fast, but not every installation has it.
PARSER: type[yaml.SafeLoader | yaml.CSafeLoader] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

_PLAIN_WORDS = (  # what the parser says, and what a person would want to hear
    ("mapping values are not allowed", "put quotes round a text that holds ': ', and line fields up under one another"),
    ("cannot start any token", "indent with spaces, not tabs, and put quotes round a text that begins with a sign"),
    ("did not find expected key", "put quotes round a text that begins with { or [, and line fields up"),
    ("expected <block end>", "put quotes round a text that begins with { or [, and line fields up"),
    ("unexpected end of stream", "close the quotes"),
    ("expected ',' or", "close the bracket, and put quotes round a text that holds a comma or bracket"),
)


@dataclass(frozen=True, slots=True)
class Fault:
    """Something to put right in a knowledge file: where, what is wrong, and why it matters or what to do."""

    file: str
    line: int
    what: str
    why_or_todo: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.what}; {self.why_or_todo}"


@dataclass(frozen=True, slots=True)
class Text:
    """A scalar, always as text, and its line."""

    text: str
    line: int


@dataclass(frozen=True, slots=True)
class Listing:
    """A sequence and the line it begins on."""

    items: list[Node]
    line: int


@dataclass(frozen=True, slots=True)
class Mapping:
    """A mapping, with the line of each key."""

    line: int
    entries: dict[str, Node] = field(default_factory=dict)
    key_lines: dict[str, int] = field(default_factory=dict)


Node = Text | Listing | Mapping


class Entry(dict[str, Any]):
    """A mapping read from a file: plain to JSON, but it knows its lines and which record it describes."""

    def __init__(self, file: str, line: int, record: str = "") -> None:
        super().__init__()
        self.file, self.line, self.record = file, line, record
        self.lines: dict[str, int] = {}

    def put(self, key: str, value: Any, line: int) -> None:
        """Set a field and remember its line."""
        self[key] = value
        self.lines[key] = line

    def at(self, key: str) -> int:
        """The line of a field, or of the whole entry when it has none of its own."""
        return self.lines.get(key, self.line)


class Items(list[Any]):
    """A list read from a file: plain to JSON, but it knows the line of each item."""

    def __init__(self, numbered: Iterable[tuple[Any, int]] = ()) -> None:
        pairs = list(numbered)
        super().__init__(value for value, _ in pairs)
        self.lines = [line for _, line in pairs]

    def numbered(self) -> Iterator[tuple[Any, int]]:
        """Each item with its line."""
        return zip(self, self.lines, strict=True)


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """A hint for a word that is not known: the nearest one, or the whole list when it is short."""
    known = sorted(known)
    near = difflib.get_close_matches(word, known, n=1)
    if near:
        return f"did you mean '{near[0]}'?"
    return f"known: {', '.join(known)}" if 0 < len(known) <= 20 else "nothing known is spelt like it"


def read_located(content: bytes, file: str) -> tuple[Node | None, list[Fault]]:
    """The file as located nodes, or None when it cannot be read, with everything that is wrong with its YAML."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        return None, [Fault(file, line, "this is not UTF-8 text", "save the file as UTF-8")]
    reading = _Reading(file)
    try:
        return reading.document(yaml.parse(text, Loader=PARSER)), reading.faults
    except yaml.reader.ReaderError as error:
        line = text.count("\n", 0, error.position) + 1
        return None, [Fault(file, line, "a character here cannot stand in YAML", "delete it; it may be invisible")]
    except yaml.MarkedYAMLError as error:
        problem = error.problem or "the YAML cannot be read"
        unclosed = "end of stream" in problem  # where it began says more than the end of the file
        mark = (error.context_mark if unclosed else None) or error.problem_mark
        todo = next((plain for words, plain in _PLAIN_WORDS if words in problem), "compare with a file that works")
        return None, [Fault(file, mark.line + 1 if mark else 1, f"YAML: {problem}", todo)]


def _line(event: yaml.Event) -> int:
    return event.start_mark.line + 1 if event.start_mark else 1


class _Reading:
    """Turns one file's parser events into nodes, noting what our files may not hold."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.faults: list[Fault] = []

    def document(self, events: Iterator[yaml.Event]) -> Node | None:
        found: Node | None = None
        for event in events:
            if not isinstance(event, yaml.DocumentStartEvent):
                continue
            if found is not None:
                self._fault(event, "a second document starts here", "keep one document to a file: drop the ---")
            node = self._node(next(events), events)
            found = found or node
        if found is None:
            self.faults.append(Fault(self.file, 1, "the file is empty", "fill it or delete it"))
        return found

    def _fault(self, event: yaml.Event, what: str, todo: str) -> None:
        self.faults.append(Fault(self.file, _line(event), what, todo))

    def _node(self, event: yaml.Event, events: Iterator[yaml.Event]) -> Node:
        line = _line(event)
        if isinstance(event, yaml.AliasEvent):
            self._fault(event, f"'*{event.anchor}' is an alias", "write it out, or put quotes round a text with *")
            return Text(f"*{event.anchor}", line)
        if isinstance(event, (yaml.ScalarEvent, yaml.CollectionStartEvent)):
            if event.anchor is not None:
                self._fault(event, f"'&{event.anchor}' is an anchor", "write it out, or put quotes round a text with &")
            if event.tag is not None:
                self._fault(event, f"'{event.tag}' is a tag", "leave it out, or put quotes round a text with !")
        if isinstance(event, yaml.ScalarEvent):
            return Text(event.value, line)
        if isinstance(event, yaml.SequenceStartEvent):
            items: list[Node] = []
            while not isinstance(inner := next(events), yaml.SequenceEndEvent):
                items.append(self._node(inner, events))
            return Listing(items, line)
        mapping = Mapping(line)
        while not isinstance(inner := next(events), yaml.MappingEndEvent):
            self._entry(mapping, inner, events)
        return mapping

    def _entry(self, mapping: Mapping, key_event: yaml.Event, events: Iterator[yaml.Event]) -> None:
        key = self._node(key_event, events)
        value = self._node(next(events), events)
        if not isinstance(key, Text):
            self._fault(
                key_event, "a list or mapping stands where a name should", "put quotes round a text with braces"
            )
        elif key.text in mapping.entries:
            first = mapping.key_lines[key.text]
            self._fault(key_event, f"'{key.text}' appears twice (first on line {first})", "join the two, or rename one")
        else:
            mapping.entries[key.text] = value
            mapping.key_lines[key.text] = key.line
