"""Times ahead in a message: how long, at what time of day, and what is asked back rather than taken."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from bot.engine.due_times import find_due, spoken, time_words

NOW = datetime.fromisoformat("2026-07-14T10:20:00-05:00")


def minutes(text: str) -> list[float]:
    return [(due.at - NOW).total_seconds() / 60 for due in find_due(text, NOW) if not due.doubt]


@pytest.mark.parametrize(
    ("text", "after"),
    [
        ("set a timer for 10 minutes for the pickles", [10]),
        ("timer 10", [10]),
        ("half an hour", [30]),
        ("in an hour and a half", [90]),
        ("1 hour 20 minutes", [80]),
        ("90 secs", [1.5]),
        ("a couple of minutes", [2]),
        ("about 10 minutes", [10]),
        ("timer 2 min plate and 10 min pickles", [2, 10]),
        ("in 3 minutes, turn the 2 jars", [3]),
        ("remind me at 10:30", [10]),
        ("remind me at noon", [100]),
        ("until half past 10", [10]),
        ("by 11", [40]),
        ("remind me at 10", [11 * 60 + 40]),
        ("tomorrow at 8 am", [21 * 60 + 40]),
        ("remind me tomorrow", [24 * 60]),
        ("in 2 days", [48 * 60]),
        ("set a timer", []),
        ("after lunch", []),
    ],
)
def test_a_time_ahead_is_found(text: str, after: list[float]) -> None:
    assert minutes(text) == after


@pytest.mark.parametrize(
    ("text", "doubt"),
    [
        ("timer -3 minutes", "below-zero"),
        ("timer minus 3 minutes", "below-zero"),
        ("timer 0 minutes", "below-zero"),
        ("timer 500 hours", "too-long"),
        ("timer 601 minutes", "too-long"),
        ("timer 61 days", "too-long"),
        ("timer 2 hours of 3601 seconds", ""),
        ("timer 10-15 minutes", "range"),
        ("timer 12 to 24 hours", "range"),
        ("timer 1:30", "unclear"),
    ],
)
def test_what_cannot_be_meant_or_means_two_things_is_doubted(text: str, doubt: str) -> None:
    assert find_due(text, NOW)[0].doubt == doubt


def test_both_ends_of_a_range_are_told() -> None:
    (due,) = find_due("timer 10-15 minutes", NOW)
    assert (due.at, due.far) == (NOW + timedelta(minutes=10), NOW + timedelta(minutes=15))


def test_hours_are_elapsed_hours_on_the_night_the_clocks_change() -> None:
    chicago = ZoneInfo("America/Chicago")
    before = datetime(2026, 10, 31, 22, tzinfo=chicago)
    (due,) = find_due("in 12 hours", before)
    assert due.at.timestamp() - before.timestamp() == 12 * 3600
    assert time_words(due.at.astimezone(chicago), before) == "09:00 tomorrow"


@pytest.mark.parametrize(
    ("span", "words"),
    [
        (timedelta(seconds=30), "30 s"),
        (timedelta(seconds=90), "1 min 30 s"),
        (timedelta(seconds=150), "2 min 30 s"),
        (timedelta(minutes=10), "10 min"),
        (timedelta(minutes=80), "1 h 20 min"),
        (timedelta(hours=24), "24 h"),
        (timedelta(days=3), "3 days"),
    ],
)
def test_a_stretch_is_spoken_as_people_say_it(span: timedelta, words: str) -> None:
    assert spoken(span) == words


def test_a_time_of_today_is_told_without_its_day() -> None:
    assert time_words(NOW + timedelta(minutes=10), NOW) == "10:30"
    assert time_words(NOW + timedelta(hours=20), NOW) == "06:20 tomorrow"
