"""A log over the turns: what a thermometer is worth, what counts of told readings, and what a case learns of it."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.engine.case import Belief, Case
from bot.engine.facts import Facts
from bot.engine.log_learns import learnt_of
from bot.engine.stove_log import Log, Noted, counted, hold_between, log_of, thermometer
from tests.conversation import TUESDAY_TEN, Talk, engine

MINUTE = timedelta(minutes=1)
GENTLE = Log("gentle", 30, 0, "F", TUESDAY_TEN)


def facts(boiling: float | None = None, feet: float | None = None, now: datetime = TUESDAY_TEN) -> Facts:
    """A kitchen whose thermometer shows this in boiling water, at this height."""
    told = {"boiling-water-reading": boiling, "altitude": feet}
    beliefs = {(name, ""): Belief(lo=value, hi=value) for name, value in told.items() if value is not None}
    return Facts(engine().knowledge, Case(beliefs=beliefs), now)


def log(*told: tuple[float, float], kind: Log = GENTLE) -> Log:
    """Readings as (minute, value)."""
    return kind._replace(noted=tuple(Noted(TUESDAY_TEN + at * MINUTE, value, value) for at, value in told))


def count(readings: Log, at: float, **kitchen: float) -> tuple[float, str]:
    found = counted(readings, facts(now=TUESDAY_TEN + at * MINUTE, **kitchen))
    return found.counted, found.state


# -- what the thermometer is worth -----------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("kitchen", "hold"),
    [
        ({}, (182, 185)),  # never checked: right within the usual 2 °F
        ({"boiling": 212, "feet": 0}, (182, 185)),
        ({"boiling": 206, "feet": 5000}, (185.2, 188.2)),  # reads 3.2 high
        ({"boiling": 200, "feet": 5000}, (179.2, 182.2)),  # reads 2.8 low: what it shows is warmer
        ({"boiling": 214, "feet": None}, (184, 185)),  # at no height is that right
        ({"boiling": 206, "feet": None}, (182, 185)),
    ],
)
def test_what_it_shows_in_boiling_water_moves_what_has_to_be_held(
    kitchen: dict[str, Any], hold: tuple[float, float]
) -> None:
    found = hold_between(facts(**kitchen))
    assert found is not None and (found.lo, found.hi) == pytest.approx(hold, abs=0.1)


@pytest.mark.parametrize("kitchen", [{"boiling": 212, "feet": 5000}, {"boiling": 230, "feet": 0}, {"boiling": 230}])
def test_a_thermometer_that_is_too_far_off_counts_nothing(kitchen: dict[str, float]) -> None:
    assert thermometer(facts(**kitchen)).offsets is None and hold_between(facts(**kitchen)) is None
    assert count(log((0, 200), (4, 200)), 4, **kitchen) == (0, "not-started")


def test_a_check_made_later_counts_for_the_readings_before_it() -> None:
    readings = log((0, 183), (4, 183), (8, 183))
    assert count(readings, 8) == (8, "holding")
    assert count(readings, 8, boiling=206, feet=5000) == (0, "not-started")


@given(shown=st.floats(190, 216), feet=st.floats(0, 9000))
def test_no_check_makes_less_heat_count_than_its_own_error_allows(shown: float, feet: float) -> None:
    worth = thermometer(facts(shown, feet))
    hold = hold_between(facts(shown, feet))
    if worth.offsets is not None and hold is not None:
        true_at_worst = hold.lo - worth.offsets.hi - 2
        assert true_at_worst >= 180 - 1e-6


# -- what counts -----------------------------------------------------------------------------------------------------
def test_a_reading_within_the_error_of_the_thermometer_does_not_count() -> None:
    assert count(log((0, 181), (4, 181)), 4) == (0, "not-started")
    assert count(log((0, 182), (4, 182)), 4) == (4, "holding")


def test_two_readings_of_one_moment_count_as_the_worse() -> None:
    assert count(log((0, 183), (4, 183), (4, 176), (8, 183)), 8) == (0, "holding")


def test_clock_times_cost_the_minute_they_are_told_in() -> None:
    by_clock = GENTLE._replace(noted=tuple(Noted(TUESDAY_TEN + n * 5 * MINUTE, 183, 183, True) for n in range(7)))
    assert counted(by_clock, facts(now=TUESDAY_TEN + 30 * MINUTE)).state == "holding"
    assert (
        counted(
            by_clock._replace(noted=(*by_clock.noted, Noted(TUESDAY_TEN + 31 * MINUTE, 183, 183, True))),
            facts(now=TUESDAY_TEN + 31 * MINUTE),
        ).state
        == "done"
    )


readings = st.lists(
    st.tuples(st.integers(0, 60), st.integers(170, 195)), min_size=1, max_size=16, unique_by=lambda each: each[0]
).map(sorted)


@settings(max_examples=200)
@given(readings, st.data())
def test_a_colder_reading_never_makes_more_count(told: list[tuple[int, int]], data: st.DataObject) -> None:
    worse = data.draw(st.integers(0, len(told) - 1))
    colder = [(at, value - 6 if n == worse else value) for n, (at, value) in enumerate(told)]
    assert (
        counted(log(*colder), facts(now=TUESDAY_TEN + 61 * MINUTE)).longest
        <= counted(log(*told), facts(now=TUESDAY_TEN + 61 * MINUTE)).longest
    )


# -- the fold --------------------------------------------------------------------------------------------------------
def test_the_last_log_begun_is_the_log_and_an_undone_turn_is_simply_not_there() -> None:
    begin = {"kind": "gentle", "minutes": 30, "psi": 0, "unit": "F"}
    at = TUESDAY_TEN.isoformat()
    turns = [
        {"at": at, "log": {"begin": begin, "read": [[at, 182, 182, False]]}},
        {"at": at, "text": "one lid is up"},
        {"at": at, "log": {"read": [[(TUESDAY_TEN - MINUTE).isoformat(), 183, 183, True]]}},
    ]
    found = log_of(turns)
    assert found is not None and [(each.lo, each.by_clock) for each in found.noted] == [(183, True), (182, False)]
    assert log_of(turns[:1]) == GENTLE._replace(noted=(Noted(TUESDAY_TEN, 182, 182),))
    again = log_of([*turns, {"at": at, "log": {"begin": {**begin, "kind": "boil", "minutes": 10}}}])
    assert again is not None and (again.kind, again.noted) == ("boil", ())
    assert log_of([*turns, {"at": at, "log": {"end": True}}]) == found._replace(ended=True)
    assert log_of([]) is None


# -- what a case learns ----------------------------------------------------------------------------------------------
def learnt(talk: Talk) -> dict[str, Belief]:
    case = engine().case(talk.app.store.load(talk.chat), {})
    return {name: belief for (name, group), belief in case.beliefs.items() if group == ""}


def run(talk: Talk, *told: tuple[float, str]) -> dict[str, Belief]:
    for at, text in told:
        talk.now = TUESDAY_TEN + at * MINUTE
        talk.say(text)
    return learnt(talk)


GOOD = [(n * 4, "183") for n in range(1, 8)]


def test_a_done_bath_teaches_its_minutes_and_that_it_was_warm_enough() -> None:
    found = run(Talk(), (0, "log the 180 bath, 183"), *GOOD, (30, "182"))
    assert found["process-method"].possible == {"low-temp"} and found["bath-temperature"].possible == {"in-range"}
    assert (found["process-minutes"].lo, found["process-minutes"].hi) == (30, 30)


def test_an_overshoot_is_learnt_as_one() -> None:
    found = run(Talk(), (0, "log the 180 bath, 188"), *GOOD, (30, "182"))
    assert found["bath-temperature"].possible == {"over-185"}


def test_nothing_is_learnt_while_it_runs() -> None:
    assert run(Talk(), (0, "log the 180 bath, 183"), *GOOD) == {}
    assert run(Talk(), (0, "log the 180 bath, 183"), (4, "176"), (6, "end the log")).keys() == {"bath-temperature"}
    assert run(Talk(), (0, "log the 180 bath, 183"), (4, "183"), (6, "end the log")) == {}


def test_a_low_reading_told_after_the_end_takes_the_warmth_back() -> None:
    found = run(Talk(), (0, "log the 180 bath, 183"), *GOOD, (30, "182"), (31, "176 at 10:15"))
    assert found["bath-temperature"].possible == {"under-180"}


def test_undoing_the_last_reading_undoes_what_it_taught() -> None:
    assert run(Talk(), (0, "log the 180 bath, 183"), *GOOD, (30, "182"), (31, "undo")) == {}


def test_of_a_boil_only_the_minutes_are_learnt_and_whether_it_held_is_asked() -> None:
    found = run(
        Talk(),
        (0, "start the clock, 10 minutes, strawberry jam in half pints, jars boiled first, 300 ft"),
        (10, "still boiling"),
    )
    assert found["process-minutes"].lo == 10 and "boil-held" not in found and "water-over-lids" not in found


def test_a_boil_that_stopped_and_ran_the_whole_time_again_is_learnt_as_that() -> None:
    begun = (0, "start the clock, 10 minutes, strawberry jam in half pints, jars boiled first, 300 ft")
    found = run(Talk(), begun, (4, "it stopped boiling"), (5, "back at the boil"), (15, "still boiling"))
    assert (found["boil-restarted"].possible, found["process-minutes"].lo) == ({"yes"}, 10)
    ended = run(Talk(), begun, (4, "it stopped boiling"), (5, "end the log"))
    assert ended["boil-held"].possible == {"stopped"} and "process-minutes" not in ended


@pytest.mark.parametrize("told", ["it stopped boiling at 10:05", "it stopped boiling for a bit when the power went off"])
def test_a_boil_that_is_told_to_have_stopped_after_it_was_done_is_believed(told: str) -> None:
    begun = (0, "start the clock, 10 minutes, strawberry jam in half pints, jars boiled first, 300 ft")
    found = run(Talk(), begun, (10, "still boiling"), (12, told))
    assert found["boil-held"].possible == {"stopped"}


def test_how_long_it_stood_still_is_not_taken_for_when_it_stopped() -> None:
    talk = Talk()
    begun = (0, "start the clock, 10 minutes, strawberry jam in half pints, jars boiled first, 300 ft")
    run(talk, begun, (8, "still boiling"), (9, "it stopped boiling for about 2 minutes"))
    found = log_of(talk.app.store.load(talk.chat))
    assert found is not None and counted(found, facts(now=TUESDAY_TEN + 9 * MINUTE)).state == "restart"


@settings(max_examples=200)
@given(readings)
def test_no_minutes_are_learnt_of_a_log_that_did_not_hold_its_time(told: list[tuple[int, int]]) -> None:
    readings = log(*told)
    found = counted(readings, facts(now=TUESDAY_TEN + 61 * MINUTE))
    minutes = [seen.lo for seen in learnt_of(readings, found) if seen.evidence == "process-minutes"]
    assert minutes == [] if found.longest < 30 else minutes[0] is not None and minutes[0] <= found.longest
