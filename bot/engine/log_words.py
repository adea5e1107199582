"""What is told of a bath's log: what counts, what is left, what a fall or a silence costs; and the timers that go with it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from math import ceil, floor, inf
from typing import TYPE_CHECKING

from bot.engine.case import Belief
from bot.engine.due_times import time_words
from bot.engine.facts import YES, Facts
from bot.engine.orders import Heard
from bot.engine.published import TimerKind
from bot.engine.reply import Timer
from bot.engine.stove_log import (
    BOIL,
    GENTLE,
    PRESSURE,
    Log,
    Noted,
    bath_of,
    counted,
    hold_between,
    one_a_moment,
    silence,
    thermometer,
)
from bot.engine.texts import sentence
from bot.kitchen.bath_log import Count
from bot.kitchen.units import c_to_f, f_to_c, show_temperature

if TYPE_CHECKING:
    from bot.engine.turn import Engine

READ_EVERY = timedelta(minutes=4)  # before a silence is too long: nobody answers a bell at once
MOST_LISTED = 12  # readings
_TIMERS = {GENTLE: "bath-gentle", BOIL: "bath-boil", PRESSURE: "bath-pressure"}
_NEXT = "next-reading"
GENTLE_RULE = "low-temperature-bath-elsewhere"


def only_for(facts: Facts) -> list[str]:
    """What the gentle bath is for, unless it is known that this is such a batch."""
    rule = facts.knowledge.rules.get(GENTLE_RULE)
    return (
        [sentence(rule.says)]
        if rule is not None and with_answer(facts, "process-method", "low-temp").any_holds(rule.clear_if) != YES
        else []
    )


def with_answer(facts: Facts, evidence: str, answer: str) -> Facts:
    """The same facts, with one more taken for granted."""
    beliefs = {**facts.case.beliefs, (evidence, ""): Belief(possible=frozenset({answer}))}
    return Facts(facts.knowledge, facts.case._replace(beliefs=beliefs), facts.now)


def opening(heard: Heard, log: Log, facts: Facts, values: Mapping[str, str] | None = None) -> list[str]:
    """What is told when a log begins without a reading of a thermometer or gauge."""
    text = heard.engine.text
    if log.kind == BOIL:
        of = ", ".join(each for name in ("food", "jar", "altitude") if (each := (values or {}).get(name)))
        which = "clock-started" if log.noted else "log-begun-boil"
        until = time_words(heard.now + timedelta(minutes=log.minutes), heard.now)
        return [text(which, minutes=f"{log.minutes:g}", until=until, of=f" ({of})" if of else "")]
    if log.kind == PRESSURE:
        return [text("log-begun-pressure", minutes=f"{log.minutes:g}", psi=f"{log.psi:g}", silence=f"{silence(log):g}")]
    hold = hold_between(facts)
    if hold is None:
        return [text("log-thermometer-useless")]
    low, high = _whole(hold.lo, log, up=True), _whole(hold.hi, log, up=False)
    lines = [text("log-begun-gentle", minutes=f"{log.minutes:g}", low=low, high=high, silence=f"{silence(log):g}")]
    return [*lines, *([] if thermometer(facts).checked else [text("log-unchecked")]), *only_for(facts)]


def _whole(f: float, log: Log, up: bool) -> str:
    """A limit on the thermometer in whole degrees (halves of °C), to the safe side."""
    if log.unit == "C":
        steps = ceil(round(f_to_c(f) * 2, 6)) if up else floor(round(f_to_c(f) * 2, 6))
        return show_temperature(c_to_f(steps / 2), True)
    return show_temperature(float(ceil(round(f, 6)) if up else floor(round(f, 6))), False)


def told(heard: Heard, before: Log, log: Log, count: Count, new: Sequence[Noted], facts: Facts) -> list[str]:
    """What a message with readings comes to."""
    lines: list[str] = []
    if not before.noted and before.begun == heard.now and log.kind == GENTLE:  # begun with this message
        lines = [*([] if thermometer(facts).checked else [heard.engine.text("log-unchecked")]), *only_for(facts)]
    if log.kind == GENTLE and thermometer(facts).offsets is None:
        return [heard.engine.text("log-thermometer-useless")]
    return [*_main(heard, before, log, count, new, facts), *lines]


def _main(heard: Heard, before: Log, log: Log, count: Count, new: Sequence[Noted], facts: Facts) -> list[str]:
    text, event = heard.engine.text, count.events[-1]
    values = _values(heard, log, count, facts)
    values["reading"] = _shown(log, log.noted[-1])
    lost = counted(before, facts) if before.noted else None
    values["lost"] = minutes_words(heard, lost.counted if lost is not None else 0.0)
    of_these = [each for each in zip(_moments(log), count.events, strict=True) if each[0] in {one.at for one in new}]
    too_hot = [text("log-too-hot", **values)] if any(each.too_hot for _, each in of_these) else []
    late = max(each.at for each in new) < log.noted[-1].at
    if count.state == "done":
        return [text(f"log-done-{log.kind}", **values), *too_hot]
    if count.state in ("holding", "too-hot"):
        fell_then = late and any(each.what in ("falls", "under") for _, each in of_these)
        return [text("log-late-fall" if fell_then else _which(log, lost, event.what, late), **values), *too_hot]
    if count.state == "restart":
        fell = event.what == "falls" and not late and (log.kind == BOIL or (lost is not None and lost.counted >= 1))
        which = "fell" if fell and event.sure else "fell-perhaps" if fell else "still-under"
        return [text(f"log-{which}-{log.kind}", **values)]
    if count.state == "unknown-gap":
        return [text("log-silent", **values)]
    return [text(f"log-under-{log.kind}", **values)]


def _moments(log: Log) -> list[datetime]:
    """The moments of the readings, each once, as they are counted."""
    return list(dict.fromkeys(each.at for each in log.noted))


def taken_back(heard: Heard, log: Log, count: Count, facts: Facts) -> str:
    """That a bath was not done after all: a reading told late fell into its time."""
    return heard.engine.text("log-not-done-after-all", **_values(heard, log, count, facts))


def _which(log: Log, lost: Count | None, what: str, late: bool) -> str:
    if late or what == "holds":
        return f"log-holds-{log.kind}"
    if what == "begins":
        return f"log-starts-{log.kind}"
    gap = lost is not None and lost.state == "unknown-gap"
    return "log-gap" if gap else f"log-back-{log.kind}"


def standing(heard: Heard, log: Log, facts: Facts) -> list[str]:
    """How a log stands now, when nothing was added to it."""
    text = heard.engine.text
    if not log.noted:
        return opening(heard, log, facts)
    count = counted(log, facts)
    values = _values(heard, log, count, facts)
    values["reading"] = _shown(log, log.noted[-1])
    if count.state == "done":
        return [text(f"log-done-{log.kind}", **values)]
    if log.ended:
        return [text("log-not-done", **values)]
    which = {
        "restart": f"log-still-under-{log.kind}",
        "unknown-gap": "log-silent",
        "not-started": f"log-under-{log.kind}",
    }
    return [text(which.get(count.state, f"log-stands-{log.kind}"), **values)]


def listed(heard: Heard, log: Log, facts: Facts) -> str:
    """The last readings with their times."""
    if not log.noted:
        return ""
    marks = {"falls": " ↓", "begins-again": " ↺", "begins": " ↺"}
    events = counted(log, facts).events
    shown = [
        f"{each.at.astimezone(heard.now.tzinfo):%H:%M} {_seen(heard, each) if log.kind == BOIL else _shown(log, each)}{marks.get(event.what, '')}"
        for each, event in zip(one_a_moment(log.noted), events, strict=True)
    ]
    return heard.engine.text("log-readings", what="; ".join(shown[-MOST_LISTED:]))


def _values(heard: Heard, log: Log, count: Count, facts: Facts) -> dict[str, str]:
    now = heard.now
    until = _up_to_the_minute(now + timedelta(minutes=count.left[0]))
    bath = bath_of(log, facts)
    least = (
        f"{log.psi:g} psi"
        if log.kind == PRESSURE
        else show_temperature(bath.least, log.unit == "C")
        if bath.least is not None
        else ""
    )
    values = {
        "counted": minutes_words(heard, count.counted), "left": minutes_words(heard, ceil(count.left[0])), "minutes": f"{log.minutes:g}",
        "until": time_words(until, now), "least": least, "silence": f"{silence(log):g}", "longest": minutes_words(heard, count.longest), "low": least,
    }  # fmt: skip
    if log.kind == GENTLE and (hold := hold_between(facts)) is not None:
        values["low"] = _whole(hold.lo, log, up=True)
        values["most"] = show_temperature(bath.most, log.unit == "C")
    if log.noted:
        since = now - log.noted[-1].at
        values["gap"] = minutes_words(heard, since / timedelta(minutes=1))
        if silence(log) < inf:
            values["next"] = time_words(log.noted[-1].at + timedelta(minutes=silence(log)), now)
    return values


def minutes_words(heard: Heard, minutes: float) -> str:
    """Whole minutes, rounded down: "1 minute", "12 minutes"."""
    whole = floor(minutes)
    return heard.engine.text("one-minute" if whole == 1 else "minutes", n=f"{whole}")


def _to_the_second(at: datetime) -> datetime:
    """Freed of the dust of fractions of a minute."""
    return (at + timedelta(milliseconds=500)).replace(microsecond=0)


def _up_to_the_minute(at: datetime) -> datetime:
    at = _to_the_second(at)
    whole = at.replace(second=0)
    return whole if whole == at else whole + timedelta(minutes=1)


def _seen(heard: Heard, noted: Noted) -> str:
    return heard.engine.text("log-seen" if noted.lo else "log-stopped").lower()


def _shown(log: Log, noted: Noted) -> str:
    """A reading in the unit it was read in."""
    if log.kind == BOIL:
        return ""
    if log.kind == PRESSURE:
        unit, ends = "psi", (noted.lo, noted.hi)
    else:
        unit, ends = (f"°{log.unit}", (noted.lo, noted.hi) if log.unit == "F" else (f_to_c(noted.lo), f_to_c(noted.hi)))
    lo, hi = (f"{round(each, 1):g}" for each in ends)
    return f"{lo} {unit}" if lo == hi else f"{lo} to {hi} {unit}"


# -- the timers of a log --------------------------------------------------------------------------------------------
def timer_names(engine: Engine) -> frozenset[str]:
    """Names of the timers that a log sets and takes away again."""
    return frozenset(_kind(engine, id_).name for id_ in (*_TIMERS.values(), _NEXT))


def timers_of(engine: Engine, log: Log, count: Count, now: datetime) -> list[Timer]:
    """The end of the time while it holds, and the next reading before the silence is too long."""
    if count.state not in ("holding", "too-hot"):
        return []
    kind = _kind(engine, _TIMERS[log.kind])
    end = _to_the_second(now + timedelta(minutes=count.left[0]))
    made = [_timer(engine, kind, end)]
    reading = log.noted[-1].at + READ_EVERY
    if silence(log) < inf and now < reading < end:
        made.append(_timer(engine, _kind(engine, _NEXT), reading))
    return made


def _kind(engine: Engine, id_: str) -> TimerKind:
    found: tuple[TimerKind, ...] = engine.knowledge.tables["timers"]  # type: ignore[assignment]
    return next(kind for kind in found if kind.id == id_)


def _timer(engine: Engine, kind: TimerKind, at: datetime) -> Timer:
    return Timer(kind.name, at, engine.text("timer-up", name=kind.name, due=kind.due).strip())
