"""How many minutes of a bath count, from readings taken at the stove, and what to do next.

What is not known counts as bad: of two readings the worse one holds in between, a longer silence proves nothing, and a bath that fell
off starts its whole time again. No heat is credited: not the minutes before a fall, not hotter water, not two runs added up.

Measured baths are told in °F (the gentle bath) or psi (the pressure canner), each reading as the interval in which the truth lies:
see `thermometer.true_interval`. A rolling boil is told as seen or not seen. Minutes are from any start, by one clock.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from math import inf, isfinite
from typing import Literal, NamedTuple

# Longest silence between two readings of a thermometer or gauge, minutes: common practice. The guides only say that it has to show
# the temperature all the time, so the figure stands here alone and whoever calls may give another.
LONGEST_SILENCE = 5.0
# Half of the last digit in which a thermometer is read: 82.2 °C is 179.96 °F, and is meant as 180.
_GRAIN_F = 0.05
# Outside these a reading was told in another unit: °C in place of °F, °F counted as °C and converted once more, kPa in place of psi.
_COLDEST_F, _HOTTEST_F, _MOST_PSI = 110.0, 230.0, 30.0

Moment = float | datetime
State = Literal["not-started", "holding", "too-hot", "restart", "unknown-gap", "done"]
What = Literal["under", "begins", "holds", "falls", "begins-again", "done", "after"]
Doubt = Literal["order", "number", "unit", "kind"]


class AskAgain(ValueError):
    """A reading that cannot be meant as it was told. `index` is its place among the readings, None for the present moment.

    `doubt`: "order" (a time that is not after the one before), "number" (no number, or an interval upside down), "unit" (looks like
    °C, °F or kPa), "kind" (a boil told in degrees, or degrees told as a boil).
    """

    def __init__(self, doubt: Doubt, index: int | None, why: str) -> None:
        super().__init__(why)
        self.doubt, self.index = doubt, index


class Bath(NamedTuple):
    """What has to hold, and for how long. Made by `gentle_bath`, `rolling_boil` or `under_pressure`.

    `asked` minutes without a break; `least` is what every reading has to reach, None when the boil is only seen; above `most` the food
    may soften, which is no fault of safety; readings more than `silence` minutes apart say nothing of the time between.
    """

    asked: float
    least: float | None
    most: float
    silence: float
    unit: Literal["°F", "psi", ""]


class Reading(NamedTuple):
    """What was read at a moment (minutes, or a time with its zone): the interval of the truth, or whether a full boil was seen."""

    at: Moment
    seen: tuple[float, float] | bool


class Event(NamedTuple):
    """What a reading did to the count. `counted` are the minutes of the run that count from then on.

    `what`: "under" (too low, and no run to lose), "begins", "holds", "falls" (too low: the run is lost), "begins-again" (after a fall
    or too long a silence), "done", "after" (whatever came later). `sure` is False where only the doubt about a reading made it too low.
    """

    minute: float
    what: What
    counted: float
    too_hot: bool
    sure: bool


class Count(NamedTuple):
    """Minutes of a bath, and what to do next.

    - `counted`: minutes that are certain and still count; `at_best`: if it held from the last reading until now.
    - `since`: the minute at which that run began, None without one; `longest`: the longest run, also one that was lost.
    - `left`: fewest and most minutes from now on, while it holds: the fewest if it held since the last reading, the most if nothing
      after that reading counts. A fall makes it the whole time again. By a clock that may be short, what it may be short is in it.
    - `state`: "not-started" (bring it up), "holding" (go on), "too-hot" (go on, turn it down), "restart" (it fell: bring it back, the
      whole time again), "unknown-gap" (silent for too long: as a restart, from the next good reading on), "done".
    - `ever_too_hot`: texture only. `events`: one for each reading, in order.
    """

    counted: float
    at_best: float
    since: float | None
    longest: float
    left: tuple[float, float]
    state: State
    ever_too_hot: bool
    events: tuple[Event, ...]


def gentle_bath(asked: float, least_f: float, most_f: float, silence: float = LONGEST_SILENCE) -> Bath:
    """Low-temperature pasteurization: 30 minutes at 180 to 185 °F (82.2 to 85 °C), at every height.

    The water has to be at least 180 °F for the whole time; above 185 °F food may soften (USDA Complete Guide to Home Canning, Guides 1
    and 6 (2015)). One reading below starts the time again: the same logic as for the boil, common practice. 82 °C is 179.6 °F and does
    not reach it. Raises ValueError for figures that are no bath.
    """
    _positive(asked=asked, least=least_f, silence=silence)
    if not most_f >= least_f:
        raise ValueError(f"from {least_f} to {most_f} °F is no bath")
    return Bath(asked, least_f, most_f, silence, "°F")


def rolling_boil(asked: float, silence: float = inf) -> Bath:
    """Boiling-water process of so many minutes. A boil that stops voids the time: back to a full boil, and the whole time again.

    USDA Complete Guide to Home Canning, Guide 1 (2015). The time runs from the moment the full boil was seen to the last moment it was
    seen. Nobody need watch it in between, so that silence has no limit here unless one is given. Raises ValueError for figures that
    are no bath.
    """
    _positive(asked=asked, silence=silence)
    return Bath(asked, None, inf, silence, "")


def under_pressure(asked: float, psi: float, silence: float = LONGEST_SILENCE) -> Bath:
    """Pressure process of so many minutes at a gauge pressure, psi; readings in psi, less the known error of the gauge.

    Pressure below the target voids the time: back to pressure, and the whole time again; above it is no fault of safety (USDA Complete
    Guide to Home Canning, Guide 1 (2015)). Venting before and cooling after are not seen here. Raises ValueError for figures that are
    no process.
    """
    _positive(asked=asked, psi=psi, silence=silence)
    return Bath(asked, psi, inf, silence, "psi")


def count_minutes(bath: Bath, readings: Sequence[Reading], now: Moment, clock_minutes: float = 0.0) -> Count:
    """Minutes that count so far, and what to do next.

    `clock_minutes` is taken off every run: 1 for times noted by a wall clock to the minute, since 10:00 to 10:30 may be 29 minutes (0
    for a stopwatch). Once the whole time is certain it is done, whatever is read later.

    Raises AskAgain (a ValueError) for readings that cannot be meant as told, and ValueError for times of two kinds, for times without
    a zone and for `clock_minutes` below 0.
    """
    if not (isfinite(clock_minutes) and clock_minutes >= 0):
        raise ValueError(f"{clock_minutes} minutes cannot be taken off a run")
    *minutes, present = _minutes([each.at for each in readings], now)
    for index, each in enumerate(readings):
        _check(bath, index, each)
    runs, events = _walk(bath, minutes, readings, clock_minutes)
    longest = max(runs, key=lambda run: run.counted, default=_Run(0.0, 0.0, 0.0))
    too_hot = any(event.too_hot for event in events)
    if runs and longest.counted >= bath.asked:
        counted = longest.counted
        return Count(counted, counted, longest.start, counted, (0.0, 0.0), "done", too_hot, events)
    run = runs[-1] if runs and runs[-1].end == minutes[-1] else None
    silent = run is not None and _between(run.end, present) > bath.silence
    whole = bath.asked + clock_minutes  # by that clock
    if run is None or silent:
        state: State = "unknown-gap" if silent else "restart" if runs else "not-started"
        return Count(0.0, 0.0, None, longest.counted, (whole, whole), state, too_hot, events)
    at_best = _run(run.start, present, clock_minutes).counted
    left = max(whole - _between(run.start, present), 0.0), whole - _between(run.start, run.end)
    state = "too-hot" if events[-1].too_hot else "holding"
    return Count(run.counted, at_best, run.start, longest.counted, left, state, too_hot, events)


class _Run(NamedTuple):
    """A stretch in which every reading held and none came after too long a silence."""

    start: float
    end: float
    counted: float


def _run(start: float, end: float, off: float) -> _Run:
    return _Run(start, end, max(_between(start, end) - off, 0.0))


def _between(start: float, end: float) -> float:
    """Minutes, freed of the dust of binary fractions, so that thirty minutes are 30 wherever they begin."""
    return round(end - start, 6)


def _walk(
    bath: Bath, minutes: list[float], readings: Sequence[Reading], off: float
) -> tuple[list[_Run], tuple[Event, ...]]:
    """All runs and events, in order."""
    runs: list[_Run] = []
    events: list[Event] = []
    before: float | None = None  # minute of the reading before, if that one held
    for minute, reading in zip(minutes, readings, strict=True):
        held = _holds(bath, reading.seen)
        goes_on = held and before is not None and _between(before, minute) <= bath.silence
        if goes_on:
            runs[-1] = _run(runs[-1].start, minute, off)
        elif held:
            runs.append(_run(minute, minute, off))
        counted = runs[-1].counted if held else 0.0
        what: What = "holds" if goes_on else "begins" if len(runs) == 1 else "begins-again"
        if not held:
            what = "under" if before is None else "falls"
        if events and events[-1].what in ("done", "after"):
            what = "after"
        elif held and counted >= bath.asked:
            what = "done"
        sure = held or _surely_under(bath, reading.seen)
        events.append(Event(minute, what, counted, _above(bath, reading.seen), sure))
        before = minute if held else None
    return runs, tuple(events)


def _holds(bath: Bath, seen: tuple[float, float] | bool) -> bool:
    if isinstance(seen, bool):
        return seen
    return bath.least is not None and seen[0] >= bath.least - _grain(bath)


def _surely_under(bath: Bath, seen: tuple[float, float] | bool) -> bool:
    return isinstance(seen, bool) or (bath.least is not None and seen[1] < bath.least - _grain(bath))


def _above(bath: Bath, seen: tuple[float, float] | bool) -> bool:
    return not isinstance(seen, bool) and seen[1] > bath.most + _grain(bath)


def _grain(bath: Bath) -> float:
    return _GRAIN_F if bath.unit == "°F" else 0.0


def _check(bath: Bath, index: int, reading: Reading) -> None:
    seen = reading.seen
    if isinstance(seen, bool):
        if bath.least is not None:
            why = f"a bath of {bath.least:g} {bath.unit} is read on a thermometer or gauge, not by its boil"
            raise AskAgain("kind", index, why)
        return
    if bath.least is None:
        raise AskAgain("kind", index, "a rolling boil is seen or not seen: a temperature does not show it")
    lo, hi = seen
    if not (isfinite(lo) and isfinite(hi) and lo <= hi):
        raise AskAgain("number", index, f"from {lo} to {hi} {bath.unit} is no reading")
    if bath.unit == "°F" and not (hi > _COLDEST_F and lo <= _HOTTEST_F):
        raise AskAgain("unit", index, f"{lo:g} to {hi:g} °F is no water in a bath: was it °C, or °F taken for °C?")
    if bath.unit == "psi" and not (hi >= 0 and lo <= _MOST_PSI):
        raise AskAgain("unit", index, f"{lo:g} to {hi:g} psi is no pressure of a canner: is it kPa?")


def _minutes(at: list[Moment], now: Moment) -> list[float]:
    """All moments, the present one last, in minutes after the first one; those told in minutes stay as they are."""
    moments = [*at, now]
    if any(isinstance(each, datetime) for each in moments):
        if not all(isinstance(each, datetime) and each.tzinfo is not None for each in moments):
            raise ValueError("times of day need a zone, all of them: an hour is lost or won when clocks change")
        utc = [each.astimezone(UTC) for each in moments if isinstance(each, datetime)]
        found = [(each - utc[0]).total_seconds() / 60 for each in utc]
    else:
        found = [float(each) for each in moments if not isinstance(each, datetime)]
    for index, minute in enumerate(found):
        place, last = (None, True) if index == len(at) else (index, False)
        if not isfinite(minute):
            raise AskAgain("number", place, f"{minute} is no moment")
        if index and (minute < found[index - 1] or (minute == found[index - 1] and not last)):
            raise AskAgain("order", place, f"minute {minute:g} is told after minute {found[index - 1]:g}")
    return found


def _positive(**figures: float) -> None:
    for name, figure in figures.items():
        if not figure > 0:
            raise ValueError(f"{name} of {figure} is no bath")
    if not isfinite(figures["asked"]):
        raise ValueError("a bath without an end cannot be done")
