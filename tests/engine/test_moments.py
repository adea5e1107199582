"""Times: phrasings against fixed clocks, look-alikes, changes of clocks, deadlines and how they are told."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from bot.engine.moments import clock_words, deadline, find_moments, round_down, span_words

DATA: list[dict[str, Any]] = yaml.safe_load(Path(__file__).with_name("moments.yaml").read_text(encoding="utf-8"))
NOW = datetime(2026, 7, 15, 11, tzinfo=ZoneInfo("America/Chicago"))


def _clock(text: str) -> datetime:
    day, clock, zone = text.split()
    return datetime.fromisoformat(f"{day} {clock}").replace(tzinfo=ZoneInfo(zone))


def _cases() -> list[tuple[str, str, str]]:
    return [
        (str(block["now"]), key, str(phrase))
        for block in DATA
        for key, phrases in block["read_as"].items()
        for phrase in phrases
    ]


@pytest.mark.parametrize(("now", "key", "phrase"), _cases())
def test_phrasing(now: str, key: str, phrase: str) -> None:
    kind, span = key.split(maxsplit=1)
    first, _, last = span.removeprefix("= ").partition(" to ")
    zone = now.split()[-1]
    earliest, latest = (_clock(end if end.endswith("UTC") else f"{end} {zone}") for end in (first, last or first))
    [moment] = find_moments(phrase, _clock(now))
    assert moment.kind == kind
    assert moment.earliest.astimezone(UTC) == earliest.astimezone(UTC)
    assert moment.latest.astimezone(UTC) == latest.astimezone(UTC)
    assert moment.vague is bool(last)
    assert moment.earliest.tzinfo == ZoneInfo(zone)
    assert 0 <= moment.start < moment.end <= len(phrase)


@pytest.mark.parametrize("phrase", DATA[0]["nothing"])
def test_look_alike_is_no_moment(phrase: str) -> None:
    assert find_moments(phrase, NOW) == []


def test_each_moment_of_a_message_in_order() -> None:
    text = "made 9 jars last night about 9pm, its 11am now. the other batch is two weeks old, on the side since sunday"
    assert [(m.kind, text[m.start : m.end]) for m in find_moments(text, NOW)] == [
        ("clock", "last night about 9pm"),
        ("age", "two weeks old"),
        ("since", "sunday"),
    ]


def test_a_naive_clock_is_refused() -> None:
    with pytest.raises(ValueError, match="aware"):
        find_moments("last night", datetime(2026, 7, 15, 11))


@pytest.mark.parametrize(
    ("start", "due"),
    [
        ("2026-03-07 21:00 America/New_York", "2026-03-08 22:00 America/New_York"),
        ("2026-10-31 21:00 America/New_York", "2026-11-01 20:00 America/New_York"),
        ("2026-03-28 21:00 Europe/London", "2026-03-29 22:00 Europe/London"),
        ("2026-10-24 21:00 Europe/London", "2026-10-25 20:00 Europe/London"),
        ("2026-10-03 21:00 Australia/Sydney", "2026-10-04 22:00 Australia/Sydney"),
        ("2026-10-31 21:00 America/Phoenix", "2026-11-01 21:00 America/Phoenix"),
        ("2026-10-31 21:00 Asia/Kolkata", "2026-11-01 21:00 Asia/Kolkata"),
        ("2026-07-14 20:30 America/Chicago", "2026-07-15 20:30 America/Chicago"),
    ],
)
def test_a_day_of_24_elapsed_hours(start: str, due: str) -> None:
    found = deadline(_clock(start), 24)
    assert (found.tzinfo, f"{found:%Y-%m-%d %H:%M}") == (ZoneInfo(due.split()[-1]), due.rsplit(" ", 1)[0])


def test_the_worked_example() -> None:
    [made] = find_moments("made about 9 last night", NOW)
    due = deadline(made.earliest, 24)
    assert clock_words(round_down(due, made.vague), NOW) == "20:30 today"
    assert span_words(due - NOW) == "9 h"
    assert f"{deadline(made.latest, 12):%d %H:%M}" == "15 09:30"


@pytest.mark.parametrize(
    ("clock", "vague", "told"),
    [
        ("16:40", False, "16:40"), ("16:44", False, "16:40"), ("16:45", False, "16:45"), ("16:44", True, "16:30"),
        ("16:45", True, "16:45"), ("16:59", True, "16:45"), ("00:04", False, "00:00"),
    ],
)  # fmt: skip
def test_told_times_never_err_to_the_late_side(clock: str, vague: bool, told: str) -> None:
    at = _clock(f"2026-07-15 {clock} UTC") + timedelta(seconds=59, microseconds=7)
    assert round_down(at, vague) == _clock(f"2026-07-15 {told} UTC")


def test_rounding_keeps_to_the_second_of_two_equal_hours() -> None:
    again = datetime(2026, 11, 1, 1, 44, tzinfo=ZoneInfo("America/New_York"), fold=1)
    assert round_down(again, True).astimezone(UTC) == datetime(2026, 11, 1, 6, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (-5, "0 min"), (0.99, "0 min"), (40.9, "40 min"), (59.9, "59 min"), (60, "1 h"), (359.9, "5 h"),
        (48 * 60 - 1, "47 h"),
        (48 * 60, "2 days"), (96 * 60 - 0.1, "3 days"),
    ],
)  # fmt: skip
def test_spans_are_rounded_down(minutes: float, words: str) -> None:
    assert span_words(timedelta(minutes=minutes)) == words


@pytest.mark.parametrize(
    ("at", "words"),
    [
        ("2026-07-15 20:30 America/Chicago", "20:30 today"), ("2026-07-16 09:00 America/Chicago", "09:00 tomorrow"),
        ("2026-07-14 09:05 America/Chicago", "09:05 yesterday"),
        ("2026-07-17 14:00 America/Chicago", "14:00 on Friday"),
        ("2026-07-21 14:00 America/Chicago", "14:00 on Tuesday"), ("2026-07-22 14:00 America/Chicago", "22 July"),
        ("2026-07-16 01:00 UTC", "20:00 today"), ("2027-03-03 14:00 America/Chicago", "3 March 2027"),
    ],
)  # fmt: skip
def test_clock_words(at: str, words: str) -> None:
    assert clock_words(_clock(at), NOW) == words


_VOCABULARY = (
    "1 2 9 10 31 9:30 18:20 25:70 6.20 2008 99999999 pm am p . m an a half past quarter to hour hours day days weeks "
    "months years ago old since about around last this night morning yesterday today tonight overnight sunday on may "
    "march august 29 february rd of in summer just now took out came at been midnight noon lunchtime o'clock weekend "
    "week month year , - ish the before"
)
_TALK = st.lists(st.sampled_from(_VOCABULARY.split()), max_size=14).map(" ".join)
_ZONES = st.sampled_from(
    ["America/New_York", "Europe/London", "Australia/Lord_Howe", "Asia/Kathmandu", "Pacific/Apia", "UTC"]
)


@given(
    st.one_of(st.text(max_size=200), _TALK),
    st.datetimes(datetime(1990, 1, 1), datetime(2090, 1, 1), timezones=_ZONES.map(ZoneInfo)),
)
def test_never_raises_never_in_the_future(text: str, now: datetime) -> None:
    for moment in find_moments(text, now):
        assert moment.earliest.astimezone(UTC) <= moment.latest.astimezone(UTC) <= now.astimezone(UTC)
        assert 0 <= moment.start < moment.end <= len(text)


@given(
    st.datetimes(datetime(1990, 1, 1), datetime(2090, 1, 1), timezones=_ZONES.map(ZoneInfo)),
    st.floats(0, 1000),
    st.booleans(),
)
def test_a_deadline_is_elapsed_time(start: datetime, hours: float, vague: bool) -> None:
    due = deadline(start, hours)
    elapsed = due.astimezone(UTC) - start.astimezone(UTC)
    assert abs(elapsed - timedelta(hours=hours)) <= timedelta(microseconds=1)
    assert round_down(due, vague).astimezone(UTC) <= due.astimezone(UTC)
