"""Readings that a message tells, put into the log: in its unit, at their times; what cannot be meant as told is asked back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from bot.engine.facts import Facts
from bot.engine.log_kept import written
from bot.engine.log_readings import Told
from bot.engine.orders import Heard
from bot.engine.stove_log import BOIL, PRESSURE, Log, Noted, counted
from bot.engine.wording import aside
from bot.kitchen.thermometer import bath_reading_f
from bot.kitchen.units import convert

if TYPE_CHECKING:
    from bot.engine.turn import Outcome

BEFORE_THE_LOG = timedelta(hours=1)  # readings written down before the log was begun are taken this far back
PSI_MOST = 30.0  # over this a pressure was told in kPa


def taken(
    heard: Heard, log: Log, told: Sequence[Told], facts: Facts, begin: Mapping[str, Any] | None = None
) -> Outcome:
    """Readings put into the log, or asked about when one of them cannot be meant as it was told. `begin`: the log begins with them."""
    from bot.engine.turn import Outcome

    text = heard.engine.text
    if log.kind == BOIL:
        return Outcome(aside(text("log-seen-not-read")))
    noted: list[Noted] = []
    for n, each in enumerate(told):
        doubt = _doubt(heard, log, each, facts)
        if doubt:
            return Outcome(aside(doubt))
        at, by_clock = time_of(heard, log, each, facts)
        if at is None:
            return Outcome(
                aside(
                    text(
                        "log-when",
                        said=each.said,
                        example=f"{each.lo:g} at {heard.now:%H:%M}" if each.lo is not None else "",
                    )
                )
            )
        if not by_clock and each.minute is None:  # told one after the other without times: the last one is now
            at -= timedelta(seconds=len(told) - 1 - n)
        lo, hi = _in_unit_of(log, each)
        noted.append(Noted(at, lo, hi, by_clock))
    return written(heard, log, noted, facts, begin)


def _doubt(heard: Heard, log: Log, told: Told, facts: Facts) -> str:
    """What to ask when a reading cannot be meant as told: in another unit, without a number, or without a clear time."""
    text = heard.engine.text
    if told.lo is None or told.hi is None:
        return text("log-no-number", said=told.said)
    if told.unclear:
        return text("log-when", said=told.said, example=f"{told.lo:g} at {heard.now:%H:%M}")
    if log.kind == PRESSURE:
        wrong = told.unit in ("F", "C") or (told.unit != "kPa" and told.hi > PSI_MOST)
        return text("log-psi", said=told.said) if wrong else ""
    unit = told.unit or log.unit
    if told.unit in ("psi", "kPa"):
        return text("log-degrees", said=told.said)
    other = "C" if unit == "F" else "F"
    try:
        for each in (told.lo, told.hi):
            bath_reading_f(each, "F" if unit == "F" else "C")
    except ValueError:
        return text("log-other-unit", said=told.said, unit=f"°{unit}", other=f"{told.lo:g} {other}")
    return ""


def _in_unit_of(log: Log, told: Told) -> tuple[float, float]:
    """Both ends of a reading in °F or psi."""
    assert told.lo is not None and told.hi is not None
    if log.kind == PRESSURE:
        psi = [
            float(convert(Fraction(each), "kPa", "psi")) if told.unit == "kPa" else each for each in (told.lo, told.hi)
        ]
        return psi[0], psi[1]
    unit = "F" if (told.unit or log.unit) == "F" else "C"
    return bath_reading_f(told.lo, unit), bath_reading_f(told.hi, unit)  # type: ignore[arg-type]


def time_of(heard: Heard, log: Log, told: Told, facts: Facts) -> tuple[datetime | None, bool]:
    """When it was read, and whether that is only good to a minute; None for a time before the log or still to come."""
    if told.minute is not None:
        return _at_minute(heard, log, told.minute, facts), True
    if told.at is None:
        return heard.now, False
    early = told.at < log.begun - BEFORE_THE_LOG
    return (None if early or told.at > heard.now else told.at), told.by_clock


def _at_minute(heard: Heard, log: Log, minute: float, facts: Facts) -> datetime | None:
    """ "At 12 minutes": of the run that was going on, else of the log."""
    run = counted(log, facts).since
    start = (
        min((each.at for each in log.noted), default=log.begun) + timedelta(minutes=run or 0.0)
        if run is not None
        else log.begun
    )
    at = start + timedelta(minutes=minute)
    return None if at > heard.now else at
