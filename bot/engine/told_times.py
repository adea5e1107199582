"""Deadlines: reckoned in elapsed time, told in words."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, tzinfo

from bot.engine.quantities import MONTHS

_WEEK = (
    "monday mon, tuesday tue tues, wednesday wed weds, thursday thu thur thurs, friday fri, saturday sat, sunday sun"
)
WEEKDAYS = {word: n for n, day in enumerate(_WEEK.split(", ")) for word in day.split()}
WEEKDAY_NAMES = tuple(w.capitalize() for w in WEEKDAYS if w.endswith("day"))


def instant(day: date, minutes: int, zone: tzinfo | None) -> datetime:
    """A wall time as an instant in UTC, the earlier one where there are two. Minutes may pass 24:00."""
    wall = datetime(day.year, day.month, day.day, tzinfo=zone) + timedelta(minutes=minutes)
    return min(wall.replace(fold=fold).astimezone(UTC) for fold in (0, 1))


def deadline(start_earliest: datetime, hours: float) -> datetime:
    """The instant `hours` of elapsed time (not of wall-clock time) after an aware start, in the start's zone."""
    return (start_earliest.astimezone(UTC) + timedelta(hours=hours)).astimezone(start_earliest.tzinfo)


def round_down(dt: datetime, vague: bool) -> datetime:
    """To the 5 minutes before, or the quarter hour when the start was vague: never to the late side."""
    return dt.replace(minute=dt.minute - dt.minute % (15 if vague else 5), second=0, microsecond=0)


def span_words(span: timedelta) -> str:
    """A remaining time rounded down: "40 min", from an hour "5 h", from two days "3 days". Nothing below "0 min"."""
    minutes = max(0, span // timedelta(minutes=1))
    return (
        f"{minutes} min" if minutes < 60 else f"{minutes // 60} h" if minutes < 48 * 60 else f"{minutes // 1440} days"
    )


def clock_words(dt: datetime, now: datetime) -> str:
    """An instant as told in the zone of `now`: "20:30 today", within six days "14:00 on Friday", else "3 March"."""
    dt = dt.astimezone(now.tzinfo)
    ahead = (dt.date() - now.date()).days
    named = {-1: "yesterday", 0: "today", 1: "tomorrow"}.get(ahead)
    if named or -7 < ahead < 7:
        return f"{dt:%H:%M} {named or 'on ' + WEEKDAY_NAMES[dt.weekday()]}"
    return f"{dt.day} {MONTHS[dt.month - 1].capitalize()}" + ("" if dt.year == now.year else f" {dt.year}")
