"""Readings told at the stove: "182", "179 at 10:12", "back to 184", "83.5 C 2 minutes ago". Anything more in a message and it is none."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import datetime
from typing import NamedTuple

from bot.engine.moments import find_moments
from bot.engine.numbers import Tokens, read_number

_PARTS = re.compile(r"[;,\n]+(?!\d)|\b(?:and then|then|and)\b")
_DEGREE = frozenset({"°", "º", "˚", "degree", "degrees", "deg", "degs", "o"})
_UNITS = {
    **dict.fromkeys(("f", "fahrenheit", "farenheit"), "F"),
    **dict.fromkeys(("c", "celsius", "celcius", "centigrade"), "C"),
    **dict.fromkeys(("psi", "lb", "lbs", "pound", "pounds"), "psi"),
    **dict.fromkeys(("kpa", "kilopascal", "kilopascals"), "kPa"),
}
_MINUTES = frozenset({"min", "mins", "minute", "minutes"})
_RANGE = frozenset({"to", "-", "–", "—"})
CLOCK_HOURS = 24


class Told(NamedTuple):
    """One reading as it was told. `lo` and `hi` differ for "182 to 184"; None when only a time was told.

    `unit` is "F", "C", "psi", "kPa", or "" for none. `at` is None for now; `minute` counts from the start of the run. `unclear`: a time
    that could not be read ("at 10").
    """

    said: str
    lo: float | None
    hi: float | None
    unit: str
    at: datetime | None = None
    by_clock: bool = False
    minute: float | None = None
    unclear: bool = False


class Found(NamedTuple):
    """A number as it was told, with its unit, at start:end of the text."""

    lo: float
    hi: float
    unit: str
    is_minute: bool
    led_by_at: bool
    places: range
    start: int
    end: int


def readings_in(plain: str, now: datetime, fillers: Iterable[str]) -> list[Told] | None:
    """The readings of a normalised message in the order they are told; None when it is something else, or holds more than readings."""
    allowed = frozenset(fillers)
    if "?" in plain:
        return None
    found: list[Told] = []
    for part in _PARTS.split(plain):
        if all(word in allowed for word in Tokens(part).words if word) and not any(c.isdigit() for c in part):
            continue
        told = _reading(part, now, allowed)
        if told is None:
            return None
        if told.lo is None and found and found[-1].at is None and found[-1].minute is None:
            found[-1] = found[-1]._replace(at=told.at, by_clock=told.by_clock, minute=told.minute)
        else:
            found.append(told)
    return found or None


def _reading(part: str, now: datetime, allowed: frozenset[str]) -> Told | None:
    moments = [m for m in find_moments(part, now) if m.kind in ("clock", "ago")]
    rest = part
    for moment in moments:
        rest = rest[: moment.start] + " " * (moment.end - moment.start) + rest[moment.end :]
    t = Tokens(rest)
    numbers = _numbers(t)
    taken = {place for each in numbers for place in each.places}
    if any(t.words[k] not in allowed and t.words[k] not in ".:!()@" for k in range(t.count) if k not in taken):
        return None
    values = [each for each in numbers if not each.is_minute]
    hours = (
        [each for each in values if each.led_by_at and not each.unit and each.hi < CLOCK_HOURS]
        if len(values) > 1
        else []
    )
    values = [each for each in values if each not in hours]
    minutes = [each.lo for each in numbers if each.is_minute]
    if len(values) > 1 or len(minutes) > 1 or len(moments) > 1 or not (values or minutes or moments):
        return None
    value = values[0] if values else None
    at = moments[0].latest if moments else None
    return Told(
        part.strip(), value.lo if value else None, value.hi if value else None, value.unit if value else "", at, at is not None,
        minutes[0] if minutes else None, bool(hours),
    )  # fmt: skip


def numbers_in(plain: str) -> list[Found]:
    """Every number of a text in digits, with its unit: psi, minutes."""
    return _numbers(Tokens(plain))


def _numbers(t: Tokens) -> list[Found]:
    """Every number in digits, with its unit; "182-184" as one."""
    found: list[Found] = []
    i = 0
    while i < t.count:
        number = read_number(t, i) if t.words[i][0].isdigit() else None
        if number is None:
            i += 1
            continue
        lo, hi, after = float(number.lo), float(number.hi), number.after
        more = read_number(t, after + 1) if t.words[after] in _RANGE and t.words[after + 1][:1].isdigit() else None
        if more is not None and more.lo > number.lo:
            hi, after = float(more.hi), more.after
        while t.words[after] in _DEGREE:
            after += 1
        minute = t.words[after] in _MINUTES or t.words[i - 1] in _MINUTES
        unit = _UNITS.get(t.words[after], "")
        if unit or t.words[after] in _MINUTES:
            after += 1
        found.append(
            Found(lo, hi, unit, minute, t.words[i - 1] in ("at", "@"), range(i, after), t.starts[i], t.ends[after - 1])
        )
        i = after
    return found
