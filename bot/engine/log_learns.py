"""What a case learns from the log of a bath: never more than the log shows, and nothing of what it does not see (water over the lids)."""

from __future__ import annotations

from math import floor

from bot.engine.case import Observation
from bot.engine.stove_log import BOIL, GENTLE, PRESSURE, Log
from bot.kitchen.bath_log import Count

_METHOD = {GENTLE: "low-temp", BOIL: "bath", PRESSURE: "pressure"}
_FELL = {
    GENTLE: Observation("bath-temperature", ("under-180",), text="under 180 °F"),
    BOIL: Observation("boil-held", ("stopped",), text="the boil stopped for a while"),
    PRESSURE: Observation("pressure-run", ("fell",), text="the pressure fell"),
}


def fell(kind: str) -> tuple[Observation, ...]:
    """That the bath fell off and was not made good."""
    return (_FELL[kind],)


def learnt_of(log: Log, count: Count) -> tuple[Observation, ...]:
    """Of a bath that was done: the way of heating and the minutes that count, of the gentle one what the water showed as well.

    That the boil never stopped is not said by a log that nobody watched in between: it is asked as ever. A log that ends before its time
    teaches only what went wrong; the minutes are asked.
    """
    if count.state != "done":
        return fell(log.kind) if count.state == "restart" else ()
    minutes = float(floor(count.counted))
    seen = [
        Observation("process-method", (_METHOD[log.kind],), text=""),
        Observation("process-minutes", lo=minutes, hi=minutes, text=f"{minutes:g} minutes"),
        Observation("process-timer", ("clock",), text="by the clock"),
    ]
    if log.kind == GENTLE:
        seen.append(Observation("bath-temperature", ("over-185" if count.ever_too_hot else "in-range",), text=""))
    if log.kind == BOIL and any(event.what == "falls" for event in count.events):
        seen.append(Observation("boil-restarted", ("yes",), text="the full time run again"))
    return tuple(seen)
