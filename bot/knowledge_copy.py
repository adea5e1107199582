"""The compiled copy of the knowledge: records laid out as columns of plain JSON, and made records again."""

from __future__ import annotations

import json
import typing
from collections.abc import Iterable
from typing import Any

from bot.engine import knowledge as records
from bot.engine.knowledge import LINE, Knowledge


class _Packing:
    """Lays records out as one table for each class, column by column: a few long lists load in half the time that many
    small objects take. How a column is to be unpacked is read off the schema here, once, so that loading need not."""

    def __init__(self) -> None:
        self.tables: dict[type, list[list[Any]]] = {}  # of records before those that contain them
        self.hows: dict[type, list[tuple[str, Any]]] = {}
        self.shared: list[Any] = []  # sources and conditions recur all over the knowledge
        self._places: dict[str, int] = {}

    def learn(self, record: Any) -> None:
        if record not in self.hows:
            hints = typing.get_type_hints(record)
            self.hows[record] = [self._how(hints[each]) for each in record._fields]
            self.tables[record] = []

    def _how(self, hint: Any) -> tuple[str, Any]:
        inner = typing.get_args(hint)
        for each in (hint, *inner):
            if hasattr(each, "_fields"):
                self.learn(each)
                return {tuple: "several", dict: "by key"}.get(typing.get_origin(hint) or hint, "one"), each
        plain = not inner or object in inner or type(None) in inner
        return ("plain" if plain else "shared"), None

    def add(self, record: Any, plain: dict[str, Any], key: object = None) -> int:
        self.learn(record)
        row = []
        for each, (how, of) in zip(record._fields, self.hows[record], strict=True):
            row.append(self._value(how, of, key if each == "id" else plain.get(each, record._field_defaults.get(each))))
        self.tables[record].append(row)
        return len(self.tables[record]) - 1

    def _value(self, how: str, of: Any, plain: Any) -> Any:
        if plain is None or how == "plain":
            return plain
        if how == "one":
            return self.add(of, plain)
        if how == "shared":
            if (place := self._places.setdefault(json.dumps(plain), len(self.shared))) == len(self.shared):
                self.shared.append(plain)
            return place
        start = len(self.tables[of])
        for key, each in plain.items() if how == "by key" else enumerate(plain):
            self.add(of, each, key)
        return [start, *plain] if how == "by key" else [start, len(self.tables[of])]

    def packed(self) -> dict[str, Any]:
        tables = []
        for record, rows in self.tables.items():
            columns: list[tuple[str, str, Any]] = []
            for (how, of), values in zip(self.hows[record] if rows else (), zip(*rows, strict=True), strict=True):
                lines = how == "plain" and all(isinstance(each, str) and LINE not in each for each in values)
                column = ("lines", "", LINE.join(values)) if lines else (how, of.__name__ if of else "", values)
                columns.append(column)
            tables.append((record.__name__, columns))
        return {"shared": self.shared, "tables": tables}


def packed(plain: dict[str, Any]) -> dict[str, Any]:
    """A whole knowledge, as plain fields, laid out for JSON."""
    packing = _Packing()
    packing.add(Knowledge, plain)
    return packing.packed()


def unpacked(packed: dict[str, Any]) -> Knowledge:
    """The records that were laid out."""
    shared = [_frozen(each) for each in packed["shared"]]
    made: dict[str, tuple[Any, ...]] = {"": ()}
    for name, columns in packed["tables"]:
        record = getattr(records, name)
        filled = [_column(how, column, made[of], shared) for how, of, column in columns]
        made[name] = tuple(map(record._make, zip(*filled, strict=True)))
    return typing.cast(Knowledge, made["Knowledge"][0])


def _column(how: str, column: Any, whole: tuple[Any, ...], shared: list[Any]) -> Iterable[Any]:
    if how == "lines":
        return typing.cast(str, column).split(LINE)
    if how == "shared":
        return map(shared.__getitem__, column)
    if how == "several":
        return [whole[start:stop] for start, stop in column]
    if how == "by key":
        return [dict(zip(keys, whole[start : start + len(keys)], strict=True)) for start, *keys in column]
    if how == "one":
        return [None if at is None else whole[at] for at in column]
    return typing.cast(Iterable[Any], column)


def _frozen(value: Any) -> Any:
    if isinstance(value, list):
        return tuple(value) if value and isinstance(value[0], str) else tuple([_frozen(each) for each in value])
    return {key: _frozen(each) for key, each in value.items()} if isinstance(value, dict) else value
