"""Readings in plain words: value, unit and time; and that a message with anything more in it is no reading."""

from __future__ import annotations

from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.engine.log_readings import Told, readings_in
from bot.engine.words import normalise
from tests.conversation import engine

NOW = datetime.fromisoformat("2026-07-14T10:20:00-05:00")
FILLERS = engine().knowledge.concepts["log-filler"]


def read(text: str) -> list[Told] | None:
    return readings_in(normalise(text), NOW, FILLERS)


@pytest.mark.parametrize(
    ("text", "lo", "hi", "unit", "at", "minute"),
    [
        ("182", 182, 182, "", None, None),
        ("back to 184", 184, 184, "", None, None),
        ("it's 183°F now", 183, 183, "F", None, None),
        ("holding at 183 degrees", 183, 183, "", None, None),
        ("83,5 C", 83.5, 83.5, "C", None, None),
        ("182-184", 182, 184, "", None, None),
        ("179 at 10:12", 179, 179, "", "10:12", None),
        ("10:12 179", 179, 179, "", "10:12", None),
        ("83.5 c 2 minutes ago", 83.5, 83.5, "C", "10:18", None),
        ("181 at quarter past 10", 181, 181, "", "10:15", None),
        ("182 at minute 12", 182, 182, "", None, 12),
        ("12 min: 181", 181, 181, "", None, 12),
        ("pressure dropped to 8", 8, 8, "", None, None),
        ("83 kPa", 83, 83, "kPa", None, None),
        ("11 lbs", 11, 11, "psi", None, None),
    ],
)
def test_a_reading_is_read(text: str, lo: float, hi: float, unit: str, at: str | None, minute: float | None) -> None:
    (told,) = read(text) or []
    assert (told.lo, told.hi, told.unit, told.minute) == (lo, hi, unit, minute)
    assert (f"{told.at:%H:%M}" if told.at else None) == at and told.by_clock == (at is not None)


def test_several_readings_of_one_message_keep_their_order_and_times() -> None:
    told = read("182 at 10:05, 183 at 10:10 and 184 at 10:15") or []
    assert [(each.lo, f"{each.at:%H:%M}") for each in told] == [(182, "10:05"), (183, "10:10"), (184, "10:15")]
    assert [each.lo for each in read("dropped to 178, back to 182 now") or []] == [178, 182]


def test_a_time_that_stands_behind_a_comma_belongs_to_the_reading_before_it() -> None:
    (told,) = read("182, at 10:05") or []
    assert (told.lo, f"{told.at:%H:%M}") == (182, "10:05")


@pytest.mark.parametrize("text", ["182 at 10", "183 F at 10.15"])
def test_a_time_that_could_be_a_number_is_said_to_be_unclear(text: str) -> None:
    assert [each.unclear for each in read(text) or []] == [True]


@pytest.mark.parametrize(
    "text",
    [
        "182 and the lid is bulging",
        "2 jars popped",
        "is 182 ok?",
        "182 for 10 minutes",
        "one lid is up",
        "183 183 183",
        "",
        "ok",
        "pH 4",
        "182 last night",
    ],
)
def test_anything_more_or_less_is_no_reading(text: str) -> None:
    assert read(text) is None


@given(st.text(alphabet="0123456789 :.,-cf°atmin", max_size=40))
def test_no_text_breaks_it_and_no_reading_lies_ahead(text: str) -> None:
    for told in read(text) or []:
        assert told.at is None or told.at <= NOW
        assert told.lo is None or (told.hi is not None and told.lo <= told.hi)
