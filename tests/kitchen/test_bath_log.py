"""Minutes of a bath: published rules on logs worked out by hand, and that less heat, less said or more doubt never counts for more."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.engine.published import with_tables
from bot.kitchen.bath_log import (
    LONGEST_SILENCE,
    AskAgain,
    Bath,
    Count,
    Moment,
    Reading,
    count_minutes,
    gentle_bath,
    rolling_boil,
    under_pressure,
)
from bot.kitchen.thermometer import true_interval
from bot.kitchen.units import c_to_f
from bot.library import load

ROOT = Path(__file__).parents[2]
UNTIMED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
DATA: dict[str, Any] = yaml.load((ROOT / "tests/published/bath-logs.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)
GENTLE, BOIL, PRESSURE = gentle_bath(30, 180, 185), rolling_boil(10), under_pressure(25, 11)


def held(log: str, offset: float = 0, uncertainty: float = 0) -> list[Reading]:
    """ "0:181 5:183" as readings of a thermometer or gauge."""
    pairs = [each.partition(":") for each in log.split()]
    return [Reading(float(at), true_interval(float(told), offset, uncertainty)) for at, _, told in pairs]


def seen(log: str) -> list[Reading]:
    """ "0:boil 5:off" as readings of the boil."""
    return [Reading(float(at), what == "boil") for at, _, what in (each.partition(":") for each in log.split())]


def count(bath: Bath, readings: list[Reading], now: Moment | None = None, off: float = 0) -> Count:
    return count_minutes(bath, readings, readings[-1].at if now is None else now, off)


def is_as_printed(found: Count, row: dict[str, Any]) -> None:
    assert (found.longest, found.counted, found.state) == (float(row["longest"]), float(row["counted"]), row["state"])
    assert found.ever_too_hot == (row.get("too_hot") == "yes")


@pytest.mark.parametrize("row", DATA["gentle-bath"]["rows"], ids=lambda row: row["log"][:40])
def test_a_log_of_the_gentle_bath_counts_what_the_guide_lets_count(row: dict[str, Any]) -> None:
    block = DATA["gentle-bath"]
    figures = [float(block[name]) for name in ("asked", "least_f", "most_f")]
    bath = gentle_bath(*figures, float(row.get("silence", LONGEST_SILENCE)))
    is_as_printed(count(bath, held(row["log"], float(row.get("offset", 0)), float(row.get("uncertainty", 0)))), row)


@pytest.mark.parametrize("row", DATA["boil"]["rows"], ids=lambda row: row["log"][:40])
def test_a_log_of_a_boil_counts_what_the_guide_lets_count(row: dict[str, Any]) -> None:
    is_as_printed(count(rolling_boil(float(row["asked"])), seen(row["log"])), row)


@pytest.mark.parametrize("row", DATA["pressure"]["rows"], ids=lambda row: row["log"][:40])
def test_a_log_of_a_pressure_canner_counts_what_the_guide_lets_count(row: dict[str, Any]) -> None:
    bath = under_pressure(float(DATA["pressure"]["asked"]), float(DATA["pressure"]["psi"]))
    is_as_printed(count(bath, held(row["log"])), row)


def test_the_gentle_bath_of_the_knowledge_is_the_published_one() -> None:
    assert with_tables(load()).tables["gentle_bath"] == GENTLE


# --- What to do next ---


def test_before_anything_was_read_the_whole_time_is_left() -> None:
    found = count_minutes(GENTLE, [], 0)
    assert (found.state, found.counted, found.since, found.left, found.events) == ("not-started", 0, None, (30, 30), ())


def test_while_it_holds_the_time_since_the_last_reading_is_left_open() -> None:
    found = count(GENTLE, held("0:181 5:182 10:183"), now=13)
    assert (found.counted, found.at_best, found.since) == (10, 13, 0)
    assert found.left == (17, 20)
    assert found.state == "holding"


def test_after_thirty_minutes_of_which_the_last_two_were_not_seen_it_is_not_done() -> None:
    found = count(GENTLE, held("0:181 5:182 10:183 15:182 20:182 25:182 28:182"), now=30)
    assert (found.state, found.left) == ("holding", (0, 2))


def test_a_silence_that_is_too_long_stops_the_count_until_a_good_reading_comes() -> None:
    readings = held("0:181 5:182")
    assert count(GENTLE, readings, now=10).state == "holding", "five minutes are allowed"
    lost = count(GENTLE, readings, now=10.5)
    assert (lost.state, lost.counted, lost.left, lost.longest) == ("unknown-gap", 0, (30, 30), 5)
    again = count(GENTLE, [*readings, *held("11:182")], now=11)
    assert (again.state, again.since, again.events[-1].what) == ("holding", 11, "begins-again")


def test_a_boil_may_be_left_alone_but_counts_no_further_than_it_was_seen() -> None:
    found = count(rolling_boil(85), seen("0:boil 5:boil"), now=90)
    assert (found.state, found.counted, found.left) == ("holding", 5, (0, 80))
    assert count(rolling_boil(85, silence=10), seen("0:boil 5:boil"), now=90).state == "unknown-gap"


def test_what_comes_after_the_end_takes_nothing_back() -> None:
    found = count(BOIL, seen("0:boil 10:boil 11:off"))
    assert (found.state, found.counted, [event.what for event in found.events]) == (
        "done",
        10,
        ["begins", "done", "after"],
    )


def test_too_hot_is_told_while_it_lasts_and_remembered_after() -> None:
    assert count(GENTLE, held("0:181 5:187")).state == "too-hot"
    cooler = count(GENTLE, held("0:181 5:187 10:184"))
    assert (cooler.state, cooler.ever_too_hot, cooler.counted) == ("holding", True, 10)


def test_each_reading_has_its_event() -> None:
    found = count(GENTLE, held("0:150 5:181 10:182 12:178 15:170 18:181 25:181"))
    assert [event.what for event in found.events] == [
        "under",
        "begins",
        "holds",
        "falls",
        "under",
        "begins-again",
        "begins-again",
    ]
    assert [event.counted for event in found.events] == [0, 0, 5, 0, 0, 0, 0]


def test_a_reading_that_only_may_be_too_low_restarts_the_time_and_is_told_apart() -> None:
    doubtful, low = (count(GENTLE, [*held("0:184"), *held(log, uncertainty=2)]) for log in ("5:181", "5:175"))
    assert (doubtful.state, low.state) == ("restart", "restart")
    assert (doubtful.events[-1].sure, low.events[-1].sure) == (False, True)


def test_a_reading_that_only_may_be_too_hot_is_told_as_too_hot() -> None:
    assert count(GENTLE, held("0:184", uncertainty=2)).state == "too-hot"
    assert count(GENTLE, held("0:183", uncertainty=2)).state == "holding"


def test_thirty_minutes_are_thirty_wherever_they_begin() -> None:
    assert 32.3 - 2.3 < 30, "binary fractions leave dust"
    minutes = [2.3, 7.3, 12.3, 17.3, 22.3, 27.3, 32.3]
    assert count(GENTLE, [Reading(minute, (181, 183)) for minute in minutes]).state == "done"


def test_the_minute_that_a_wall_clock_may_be_short_is_still_to_come() -> None:
    assert count_minutes(BOIL, [], 0, clock_minutes=1).left == (11, 11)
    assert count(BOIL, seen("0:boil"), off=1).left == (11, 11)
    assert count(BOIL, seen("0:boil 4:boil"), now=6, off=1).left == (5, 7)


def test_times_noted_by_a_wall_clock_may_be_a_minute_short() -> None:
    assert count(BOIL, seen("0:boil 10:boil"), off=1).state == "holding"
    assert count(BOIL, seen("0:boil 11:boil"), off=1).state == "done"


# --- Times of day ---


def test_times_of_day_count_as_the_minutes_between_them() -> None:
    start = datetime(2026, 7, 14, 10, 0, 20, tzinfo=UTC)
    readings = [Reading(start + timedelta(minutes=m), (181.0, 182.0)) for m in range(0, 31, 5)]
    assert count(GENTLE, readings).state == "done"


def test_an_hour_that_the_clocks_skip_or_repeat_is_not_counted() -> None:
    zone = ZoneInfo("America/New_York")
    before, after = datetime(2026, 3, 8, 1, 55, tzinfo=zone), datetime(2026, 3, 8, 3, 5, tzinfo=zone)
    assert count(BOIL, [Reading(before, True), Reading(after, True)]).counted == 10
    first, second = datetime(2026, 11, 1, 1, 55, tzinfo=zone), datetime(2026, 11, 1, 1, 5, fold=1, tzinfo=zone)
    assert count(BOIL, [Reading(first, True), Reading(second, True)]).counted == 10


@pytest.mark.parametrize("now", [datetime(2026, 7, 14, 11), 40.0])
def test_times_without_a_zone_or_of_two_kinds_are_refused(now: Moment) -> None:
    with pytest.raises(ValueError, match="need a zone"):
        count(BOIL, [Reading(datetime(2026, 7, 14, 10, tzinfo=UTC), True)], now=now)


# --- Asked back ---


@pytest.mark.parametrize(("bath", "readings", "doubt", "index"), [
    (GENTLE, held("0:182 5:82"), "unit", 1),
    (GENTLE, held("0:100"), "unit", 0),
    (GENTLE, held(f"0:{c_to_f(182)}"), "unit", 0),
    (PRESSURE, held("0:76"), "unit", 0),
    (PRESSURE, held("0:-3"), "unit", 0),
    (GENTLE, held("0:182 5:182 5:183"), "order", 2),
    (GENTLE, held("0:182 5:182 4:183"), "order", 2),
    (BOIL, seen("0:boil 5:boil 5:off"), "order", 2),
    (GENTLE, [Reading(0, (float("nan"), 182))], "number", 0),
    (GENTLE, [Reading(0, (180, float("inf")))], "number", 0),
    (GENTLE, [Reading(0, (183, 182))], "number", 0),
    (GENTLE, [Reading(float("nan"), (182, 182))], "number", 0),
    (GENTLE, seen("0:boil"), "kind", 0),
    (PRESSURE, seen("0:boil"), "kind", 0),
    (BOIL, held("0:212"), "kind", 0),
])  # fmt: skip
def test_a_reading_that_cannot_be_meant_is_asked_back_and_says_which(
    bath: Bath, readings: list[Reading], doubt: str, index: int
) -> None:
    with pytest.raises(AskAgain) as asked:
        count_minutes(bath, readings, 60)
    assert (asked.value.doubt, asked.value.index) == (doubt, index)


def test_a_reading_from_the_future_is_asked_back() -> None:
    with pytest.raises(AskAgain, match="minute 4 is told after minute 5") as asked:
        count(GENTLE, held("0:182 5:182"), now=4)
    assert asked.value.index is None


@pytest.mark.parametrize("make", [
    lambda: gentle_bath(0, 180, 185), lambda: gentle_bath(30, 185, 180), lambda: gentle_bath(30, float("nan"), 185),
    lambda: rolling_boil(-5), lambda: rolling_boil(float("inf")), lambda: rolling_boil(10, silence=0), lambda: under_pressure(25, 0),
    lambda: count(BOIL, seen("0:boil"), off=-1), lambda: count(BOIL, seen("0:boil"), off=float("nan")),
])  # fmt: skip
def test_what_is_no_bath_is_refused(make: Any) -> None:
    with pytest.raises(ValueError):
        make()


# --- Properties ---

temperatures = st.integers(1500, 2100).map(lambda tenths: tenths / 10)
intervals = st.tuples(temperatures, st.sampled_from([0.0, 0.5, 2.0])).map(
    lambda pair: (pair[0] - pair[1], pair[0] + pair[1])
)
# Mostly in the band, so that runs long enough to be done turn up.
often_good = st.one_of(st.just((182.0, 183.0)), st.just((182.0, 183.0)), st.just((182.0, 183.0)), intervals)
steps = st.integers(1, 24).map(lambda quarters: quarters / 4)
logs = st.lists(st.tuples(steps, often_good), min_size=1, max_size=20)
waits = st.integers(0, 40).map(lambda quarters: quarters / 4)


def as_readings(log: list[tuple[float, tuple[float, float]]]) -> list[Reading]:
    minute, found = 0.0, []
    for step, interval in log:
        minute += step
        found.append(Reading(minute, interval))
    return found


def counts_no_more(less: Count, more: Count) -> None:
    assert less.counted <= more.counted
    assert less.longest <= more.longest
    assert less.left[1] >= more.left[1]
    assert not (less.state == "done" and more.state != "done")


@UNTIMED
@given(logs, waits)
def test_minutes_left_and_counted_make_up_the_time_that_is_asked(log: list[Any], wait: float) -> None:
    readings = as_readings(log)
    found = count_minutes(GENTLE, readings, readings[-1].at + wait)
    assert 0 <= found.counted <= found.at_best <= readings[-1].at + wait - readings[0].at
    assert found.left[0] <= found.left[1] <= GENTLE.asked
    assert found.counted + found.left[1] >= GENTLE.asked
    assert found.at_best + found.left[0] >= GENTLE.asked
    assert (found.left == (0, 0)) == (found.state == "done") == (found.counted >= GENTLE.asked)
    assert found.state == "done" or (found.since is None) == (found.state in ("not-started", "restart", "unknown-gap"))


@UNTIMED
@given(logs, waits, st.data())
def test_a_lower_reading_put_in_between_never_counts_for_more(log: list[Any], wait: float, data: st.DataObject) -> None:
    readings = as_readings(log)
    place = data.draw(st.integers(0, len(readings)))
    before = readings[place - 1].at if place else 0.0
    at = before + 0.125 if place < len(readings) else readings[-1].at + wait / 2 + 0.125
    low = data.draw(st.tuples(st.floats(150, 179.9), st.floats(0, 40)).map(lambda pair: (pair[0], pair[0] + pair[1])))
    now = readings[-1].at + wait + 0.25
    counts_no_more(
        count_minutes(GENTLE, sorted([*readings, Reading(at, low)], key=lambda each: each.at), now),
        count_minutes(GENTLE, readings, now),
    )


@UNTIMED
@given(logs, waits, st.data())
def test_a_good_reading_taken_away_never_counts_for_more(log: list[Any], wait: float, data: st.DataObject) -> None:
    readings = as_readings(log)
    good = [each for each in readings if each.seen[0] >= 180]
    if good:
        taken = data.draw(st.sampled_from(good))
        now = readings[-1].at + wait
        counts_no_more(
            count_minutes(GENTLE, [each for each in readings if each != taken], now),
            count_minutes(GENTLE, readings, now),
        )


@UNTIMED
@given(logs, waits, st.data())
def test_colder_readings_and_wider_doubts_never_count_for_more(
    log: list[Any], wait: float, data: st.DataObject
) -> None:
    readings = as_readings(log)
    colder = [
        each._replace(seen=(each.seen[0] - data.draw(st.sampled_from([0, 0, 1, 5])), each.seen[1])) for each in readings
    ]
    now = readings[-1].at + wait
    counts_no_more(count_minutes(GENTLE, colder, now), count_minutes(GENTLE, readings, now))


@UNTIMED
@given(logs, waits, st.floats(0.25, 10), st.floats(0.25, 10))
def test_a_shorter_silence_allowed_never_counts_for_more(log: list[Any], wait: float, one: float, other: float) -> None:
    readings = as_readings(log)
    now = readings[-1].at + wait
    short, long = sorted((one, other))
    strict, lenient = (count_minutes(gentle_bath(30, 180, 185, silence), readings, now) for silence in (short, long))
    counts_no_more(strict, lenient)


@UNTIMED
@given(logs, waits, st.floats(0, 3))
def test_minutes_taken_off_for_the_clock_never_add_any(log: list[Any], wait: float, off: float) -> None:
    readings = as_readings(log)
    now = readings[-1].at + wait
    found = count_minutes(GENTLE, readings, now, off)
    assert found.counted + found.left[1] >= GENTLE.asked - 1e-9
    counts_no_more(count_minutes(GENTLE, readings, now, off), count_minutes(GENTLE, readings, now))


@UNTIMED
@given(logs, waits, st.floats(0, 100))
def test_hotter_water_is_never_worth_a_minute(log: list[Any], wait: float, by: float) -> None:
    readings = as_readings(log)
    hotter = [each._replace(seen=(each.seen[0], each.seen[1] + by)) for each in readings]
    now = readings[-1].at + wait
    one, other = count_minutes(GENTLE, readings, now), count_minutes(GENTLE, hotter, now)
    assert (one.counted, one.left, one.longest) == (other.counted, other.left, other.longest)


@UNTIMED
@given(logs, st.lists(st.tuples(steps, intervals), max_size=5))
def test_once_done_it_stays_done(log: list[Any], more: list[Any]) -> None:
    if count(GENTLE, as_readings(log)).state == "done":
        assert count(GENTLE, as_readings([*log, *more])).state == "done"


@UNTIMED
@given(logs, waits)
def test_waiting_without_a_reading_never_counts_for_more(log: list[Any], wait: float) -> None:
    readings = as_readings(log)
    later, now = (count_minutes(GENTLE, readings, readings[-1].at + more) for more in (wait, 0.0))
    counts_no_more(later, now)


@UNTIMED
@given(logs, st.floats(-1000, 1000))
def test_it_does_not_matter_when_the_clock_was_started(log: list[Any], shift: float) -> None:
    readings = as_readings(log)
    moved = [each._replace(at=each.at + shift) for each in readings]
    one, other = count(GENTLE, readings), count(GENTLE, moved)
    assert (one.counted, one.left, one.state, one.longest) == (other.counted, other.left, other.state, other.longest)


@UNTIMED
@given(logs)
def test_events_come_in_order_one_for_each_reading_and_agree_with_the_count(log: list[Any]) -> None:
    readings = as_readings(log)
    found = count(GENTLE, readings)
    assert [event.minute for event in found.events] == [each.at for each in readings]
    assert [event.what for event in found.events].count("done") == (found.state == "done")
    assert max(event.counted for event in found.events) == found.longest
    if found.state != "done":
        assert found.events[-1].counted == found.counted


@UNTIMED
@given(st.lists(st.tuples(steps, st.booleans()), min_size=1, max_size=20))
def test_a_boil_is_counted_like_a_bath_that_is_read(log: list[Any]) -> None:
    boil, bath = rolling_boil(10, LONGEST_SILENCE), gentle_bath(10, 180, 185)
    one = count(boil, as_readings(log))
    other = count(bath, as_readings([(step, (182.0, 182.0) if boiling else (170.0, 170.0)) for step, boiling in log]))
    assert one == other
