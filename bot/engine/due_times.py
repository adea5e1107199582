"""When something is to be told: "in 10 minutes", "at half past 9", "tomorrow". Times ahead, where `moments` reads times gone by."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import NamedTuple

from bot.engine.clocks import clock_at
from bot.engine.moment import Reading
from bot.engine.quantities import DURATIONS, Quantity, find_quantities
from bot.engine.told_times import clock_words, instant

# Longest that is taken without asking, by the unit it was told in: "500 hours" is a slip, "30 days" is a crock of cabbage. Conventions.
MOST = {"s": timedelta(hours=1), "min": timedelta(hours=10), "h": timedelta(days=3)}
LONGEST = timedelta(days=60)
_UNIT = {"minutes": timedelta(minutes=1), "hours": timedelta(hours=1), "days": timedelta(days=1)}
_AHEAD = re.compile(r"\b(?:until|till|til|by)\b")
_TOMORROW = re.compile(r"\btomorrow\b")
_MINUS = re.compile(r"(?:^|[^\w.,])(?:minus|negative|[-−])\s*$")
_NUMBER = re.compile(r"(?<![\w.,:/])\d{1,4}(?![\w.,:/])")


class Due(NamedTuple):
    """A time ahead that was told, at start:end of the text.

    `span` is None for a time of day. `doubt`: "" for none, "below-zero", "too-long", "range" (`at` is the near end, `far` the other),
    "unclear" ("1:30" by itself).
    """

    at: datetime
    span: timedelta | None
    start: int
    end: int
    doubt: str = ""
    far: datetime | None = None


def find_due(plain: str, now: datetime) -> list[Due]:
    """Every time ahead of a normalised message, in order; a bare number counts as minutes where nothing else is told.

    `now` is aware and in the person's zone. Clock times are the next such time; elapsed time is reckoned in UTC.
    """
    clocks = _clocks(plain, now)
    apart = [(due.start, due.end) for due in clocks]
    spans = [
        _span(q, plain, now) for q in find_quantities(plain) if q.kind in DURATIONS and not _inside(q.start, apart)
    ]
    found = sorted([*clocks, *spans], key=lambda due: due.start)
    if not found:
        found = [
            _after(now, timedelta(minutes=int(m.group())), m.start(), m.end(), plain, "min")
            for m in _NUMBER.finditer(plain)
        ][:1]
    tomorrow = _TOMORROW.search(plain)
    if not found and tomorrow:
        found = [_after(now, timedelta(days=1), tomorrow.start(), tomorrow.end(), plain, "day")]
    return found


def spoken(span: timedelta) -> str:
    """A stretch of time as people say it: "30 s", "10 min", "1 h 20 min", "3 days"."""
    seconds = round(span.total_seconds())
    if seconds < 60:
        return f"{seconds} s"
    if seconds % 60 and seconds < 600:
        return f"{seconds // 60} min {seconds % 60} s"
    minutes = seconds // 60
    if minutes < 60:
        return f"{minutes} min"
    if minutes % 1440 == 0 and minutes > 1440:
        return f"{minutes // 1440} days"
    return f"{minutes // 60} h" + (f" {minutes % 60} min" if minutes % 60 else "")


def time_words(at: datetime, now: datetime) -> str:
    """When it is due: "10:10" today, else with its day."""
    at = at.astimezone(now.tzinfo)
    return f"{at:%H:%M}" if at.date() == now.date() else clock_words(at, now)


def _inside(start: int, spans: list[tuple[int, int]]) -> bool:
    return any(first <= start < last for first, last in spans)


def _span(q: Quantity, plain: str, now: datetime) -> Due:
    """ "About 10 minutes" is 10; of "10 to 15" both ends are told, for the person to choose."""
    unit = _UNIT[q.kind]
    lo, hi = float(q.lo) * unit, float(q.hi) * unit
    if q.approx:
        lo = hi = (lo + hi) / 2
    due = _after(now, lo, q.start, q.end, plain, q.unit)
    if hi > lo and not due.doubt:
        due = due._replace(doubt="range", far=_later(now, hi))
    return due


def _after(now: datetime, span: timedelta, start: int, end: int, plain: str, unit: str) -> Due:
    doubt = ""
    if span <= timedelta(0) or _MINUS.search(plain[:start]):
        doubt = "below-zero"
    elif span > MOST.get(unit, LONGEST):
        doubt = "too-long"
    return Due(now if doubt else _later(now, span), span, start, end, doubt)


def _later(now: datetime, span: timedelta) -> datetime:
    """Elapsed time: the day on which the clocks change has no other length here."""
    return datetime.fromtimestamp(now.timestamp() + span.total_seconds(), now.tzinfo)


def _clocks(plain: str, now: datetime) -> list[Due]:
    """ "At 10:30", "until half past 9", "tomorrow at 8"."""
    tomorrow = _TOMORROW.search(plain) is not None
    led = _AHEAD.sub(lambda word: "at".ljust(len(word.group())), plain)
    reading = Reading(_TOMORROW.sub(lambda word: " " * len(word.group()), led), now)
    t = reading.t
    found: list[Due] = []
    i = 0
    while i < t.count:
        by_clock = t.words[i - 1] in ("at", "@") or t.words[i + 1] in ("am", "pm")
        piece = clock_at(reading, i) if by_clock or ":" in t.words[i] else None
        i += 1
        if piece is None or not piece.clocks:
            continue
        i = max(i, piece.after)
        day = reading.today + timedelta(days=1)
        times = [
            instant(each, clock, now.tzinfo)
            for each in ((day,) if tomorrow else (reading.today, day))
            for clock in piece.clocks
        ]
        ahead = [each for each in times if each > now]
        if ahead:
            doubt = "" if by_clock or tomorrow else "unclear"
            found.append(
                Due(min(ahead).astimezone(now.tzinfo), None, t.starts[piece.first], t.ends[piece.after - 1], doubt)
            )
    return found
