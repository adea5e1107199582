"""The log of a bath, as a fold over turns: which bath, what was read and when, and which of its minutes count.

Turns hold it as plain data under `log`: {"begin": {...}}, {"read": [[time, lo, hi, by_clock], ...]}, {"end": true}. An undone reading is
an undone turn. What the thermometer is worth is worked out anew each time, so that a check made later counts for all readings.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any, NamedTuple

from bot.engine.facts import Facts
from bot.kitchen.bath_log import LONGEST_SILENCE, Bath, Count, Reading, count_minutes, rolling_boil, under_pressure
from bot.kitchen.boiling import boiling_point_f
from bot.kitchen.thermometer import OFFSET_UNCERTAINTY_F, Interval, offset_class, offsets_to_allow_for, true_interval

GENTLE, BOIL, PRESSURE = "gentle", "boil", "pressure"
STALE = timedelta(hours=3)  # without a word a log is over: no bath on a stove is left alone for so long
ONE_HEIGHT_FT = 500.0  # a height known to this is one height: half a degree of boiling point


class Noted(NamedTuple):
    """A reading as it stood on the thermometer (°F) or gauge (psi), `lo` and `hi` mostly the same; of a boil 1 for seen, 0 for stopped."""

    at: datetime
    lo: float
    hi: float
    by_clock: bool = False


class Log(NamedTuple):
    """`minutes` asked; `psi` asked of a pressure process, else 0; `unit` the person reads in: F, C, psi."""

    kind: str
    minutes: float
    psi: float
    unit: str
    begun: datetime
    noted: tuple[Noted, ...] = ()
    ended: bool = False


class Worth(NamedTuple):
    """What a thermometer is worth: `offsets` °F that it may read too high; None when it decides nothing. `checked`: in boiling water."""

    offsets: Interval | None
    checked: bool


def log_of(turns: Iterable[Mapping[str, Any]]) -> Log | None:
    """The log begun last in these turns, with its readings in the order of their times."""
    log: Log | None = None
    for turn in turns:
        entry = turn.get("log") or {}
        begin = entry.get("begin")
        if begin:
            at = datetime.fromisoformat(turn["at"])
            log = Log(begin["kind"], float(begin["minutes"]), float(begin["psi"]), begin["unit"], at)
        if log is not None and entry.get("read"):
            new = [Noted(datetime.fromisoformat(at), lo, hi, bool(clock)) for at, lo, hi, clock in entry["read"]]
            log = log._replace(noted=tuple(sorted((*log.noted, *new), key=lambda each: each.at)))
        if log is not None and entry.get("end"):
            log = log._replace(ended=True)
    return log


def open_log(turns: Iterable[Mapping[str, Any]], facts: Facts) -> Log | None:
    """The log that readings go to: begun, not ended, and not left alone for hours. It may be done: a reading told late counts still."""
    log = log_of(turns)
    if log is None or log.ended or facts.now - max([log.begun, *(each.at for each in log.noted)]) > STALE:
        return None
    return log


def counted(log: Log, facts: Facts) -> Count:
    """Minutes of a log that count at `facts.now`, with what the thermometer is worth."""
    worth = thermometer(facts)
    readings = [Reading(each.at, _seen(log, each, worth)) for each in one_a_moment(log.noted)]
    now = max([facts.now, *(each.at for each in log.noted)])
    return count_minutes(bath_of(log, facts), readings, now, 1.0 if any(each.by_clock for each in log.noted) else 0.0)


def bath_of(log: Log, facts: Facts) -> Bath:
    """What has to hold for this log."""
    if log.kind == GENTLE:
        gentle: Bath = facts.knowledge.tables["gentle_bath"]  # type: ignore[assignment]
        return gentle
    return rolling_boil(log.minutes) if log.kind == BOIL else under_pressure(log.minutes, log.psi)


def silence(log: Log) -> float:
    """Minutes of silence from which a log counts nothing."""
    return float("inf") if log.kind == BOIL else LONGEST_SILENCE


def one_a_moment(noted: tuple[Noted, ...]) -> list[Noted]:
    """Of two readings of one moment the worse one counts: told as the span of both."""
    found: list[Noted] = []
    for each in noted:
        if found and found[-1].at == each.at:
            last = found.pop()
            each = each._replace(lo=min(each.lo, last.lo), hi=max(each.hi, last.hi))
        found.append(each)
    return found


def _seen(log: Log, noted: Noted, worth: Worth) -> tuple[float, float] | bool:
    if log.kind == BOIL:
        return noted.lo > 0
    if log.kind == PRESSURE:
        return noted.lo, noted.hi
    if worth.offsets is None:
        return 0.0, noted.hi  # decides nothing: as if it could be cold
    lo, hi = true_interval(noted.lo, worth.offsets), true_interval(noted.hi, worth.offsets)
    # The doubt about a reading counts against the minimum only. Against the maximum it would have the heat turned down for nothing, and
    # a bath that is turned down for nothing falls below the minimum.
    return lo.lo, hi.hi - OFFSET_UNCERTAINTY_F


def thermometer(facts: Facts) -> Worth:
    """What the thermometer of this kitchen is worth, from what it showed in boiling water at this height.

    One that was never checked is held to be right within the uncertainty of one that was. Checked at a height nobody told, it may read
    too high by what it shows above boiling water at the sea.
    """
    shown = facts.belief("boiling-water-reading")
    if shown is None or not shown.certain or shown.lo is None or shown.lo != shown.hi:
        return Worth(Interval(0.0, 0.0), False)
    height = facts.belief("altitude")
    if (
        height is None
        or not height.certain
        or height.lo is None
        or height.hi is None
        or height.hi - height.lo > ONE_HEIGHT_FT
    ):
        if offset_class(shown.lo, 0.0) == "impossible":
            return Worth(None, True)
        return Worth(Interval(0.0, max(0.0, shown.lo - boiling_point_f(0.0))), True)
    return Worth(offsets_to_allow_for(shown.lo, (height.lo + height.hi) / 2), True)


def hold_between(facts: Facts) -> Interval | None:
    """Between which readings, °F, this thermometer shows a bath that counts and is not too hot; None when it decides nothing."""
    offsets = thermometer(facts).offsets
    if offsets is None:
        return None
    bath: Bath = facts.knowledge.tables["gentle_bath"]  # type: ignore[assignment]
    assert bath.least is not None
    least = bath.least + offsets.hi + OFFSET_UNCERTAINTY_F
    return Interval(least, max(least, bath.most + offsets.lo))
