"""Gives times in a message to the evidence they belong to: when the jars came out of the heat, when one was opened."""

from __future__ import annotations

import re
from datetime import datetime
from typing import NamedTuple

from bot.engine.case import Observation
from bot.engine.knowledge import Evidence, Knowledge
from bot.engine.moments import Moment
from bot.engine.quantities import Quantity
from bot.engine.words import NEGATORS, Word

REACH = 60  # characters between a time and the words that claim it
# A time beside one of these is not the time the jars came out of the heat.
_OTHER_EVENTS = frozenset(
    "opened open ate eaten tasted noticed found bought picked served fed saw spotted picking fridge refrigerator freezer chilled still "
    "read reading told heard learned learnt realised realized home holiday rings ring pantry cupboard shelf larder lunch dinner "
    "breakfast used lived owned keeps lasts woke started writing drove moved called phoned asked looked checked remembered worried visited".split()
)
_TAKEN = frozenset("out lifted took pulled been".split())
_TOLD_AFTER = frozenset("read reading told heard learned learnt realised realized ate noticed found opened tasted started".split())
_HEATED = re.compile(r"\b(?:boil|process|bath|cook|simmer|pressure|canned for|in for)")
SHORT_ANSWER = 12  # words
RECENT = 48 * 3600.0  # seconds: within the longest limit on what may still be done
_PAST_ALL_LIMITS = 87_600 * 3600.0  # seconds: ten years
_OPEN_ENDED = re.compile(r"\b(?:more than|over|at least|longer than|older than|before)\b ?(?!\w*night)")
_UNSURE = frozenset("think maybe perhaps guess probably possibly might could".split())
HOUR = 3600.0
_STOOD = re.compile(r"\b(?:(a|an|one|two|three|four|five|six|\d+) )?(day|week|fortnight|month|year)(s?) (?:in|on|at) (?:the|my|our|a|room)\b")
_COUNT = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6}
_DAYS = {"day": 1, "week": 7, "fortnight": 14, "month": 30, "year": 365}


def _stood(plain: str) -> tuple[float, float] | None:
    """Days that jars stood somewhere: "month in the cupboard", "weeks on the shelf" (several: from two to twelve)."""
    match = _STOOD.search(plain)
    if match is None:
        return None
    count, unit, several = match.groups()
    days = _DAYS[unit]
    if count is None and several:
        return 2.0 * days, 12.0 * days
    n = _COUNT.get(count or "one") or int(count or 1)
    return n * days * 0.8, n * days * 1.2


class _Told(NamedTuple):
    """A time in a message that may be the one at which the jars came out of the heat; lo and hi in seconds since 1970."""

    lo: float
    hi: float
    vague: bool
    anchored: bool  # words of the heat or of making stand beside it
    doubtful: bool

    @classmethod
    def of(cls, moment: Moment, words: list[Word], near: list[tuple[str, int, int]], plain: str, asked: bool, now: datetime) -> _Told | None:
        """None when it is the time of something else, or denied."""
        inside = [w for w in words if w.start < moment.end and w.end > moment.start]
        clause = {w.clause for w in inside}
        mates = [w for w in words if w.clause in clause and w not in inside]
        before = [w.text for w in words if w.end <= moment.start][-4:]
        if before and before[-1] in NEGATORS:
            return None
        ends = (min((w.start for w in mates), default=moment.start), max((w.end for w in mates), default=moment.end))
        anchors = [
            max(first - moment.end, moment.start - last) for _, first, last in near
            if ends[0] <= first and last <= ends[1] and not (first < moment.end and moment.start < last)
        ]  # fmt: skip
        events = [moment.start - w.end for w in mates if w.end <= moment.start and w.text in _OTHER_EVENTS]
        events += [w.start - moment.end for w in mates if w.start >= moment.end and w.text in _TOLD_AFTER]
        events += [REACH for w in before if w in _OTHER_EVENTS]
        # "a jar from last year", "out at 5", "just took them out"
        anchored = bool(anchors) or before[-1:] == ["from"] or bool(_TAKEN & set(before))
        elsewhere = bool(events) and before[-1:] != ["from"] and min(events) < min(anchors, default=10 * REACH)
        if elsewhere and not anchored and not asked:
            return None
        lo, hi = moment.earliest.timestamp(), moment.latest.timestamp()
        if _OPEN_ENDED.search(plain, max(0, moment.start - 16), moment.start) or _OPEN_ENDED.match(plain, moment.start, moment.end):
            lo = min(lo, hi - _PAST_ALL_LIMITS)
        # a lid "did not seal this morning": a late time that nothing ties to the heat is asked about
        loose = not anchored and not asked and moment.kind != "age" and now.timestamp() - lo < RECENT
        doubtful = any(w.text in _UNSURE for w in mates) or loose or (elsewhere and anchored and not asked)
        return cls(lo, hi, moment.vague, anchored, doubtful)


def times(
    knowledge: Knowledge,
    moments: list[Moment],
    numbers: list[Quantity],
    near: list[tuple[str, int, int]],
    words: list[Word],
    now: datetime,
    question: Evidence | None,
    plain: str,
    told: frozenset[str],
) -> list[Observation]:
    """Observations of clock evidence; the first of the knowledge is the one whose time needs no words beside it."""
    clocks = [e for e in knowledge.evidence.values() if e.kind == "clock"]
    if not clocks:
        return []
    main = clocks[0]
    others: list[Observation] = []
    for clock in clocks[1:]:
        moment, seen = _of_another(clock, main, moments, near, words) if clock is not question else (None, None)
        if moment is not None and seen is not None:
            happened = clock.asked_if[0] if clock.asked_if else {}  # a time that was told shows that it happened
            others += [seen, *(Observation(name, tuple(answers)) for name, answers in happened.items())]
            moments = [m for m in moments if m is not moment]
    return [*_of_main(clocks, moments, numbers, near, words, now, question, plain, main.id in told), *others]


def _of_another(
    clock: Evidence, main: Evidence, moments: list[Moment], near: list[tuple[str, int, int]], words: list[Word]
) -> tuple[Moment | None, Observation | None]:
    """A time that stands closer to the words of another clock than to those of the heat, "opened it 5 days ago"; failing that
    one that stands by neither: "it has been open in the fridge. I put the date on, 16 days ago". That errs on the old side."""
    found: list[tuple[int, Moment, bool]] = []
    for moment in moments:
        inside = {w.clause for w in words if w.start < moment.end and w.end > moment.start}
        mates = [w for w in words if w.clause in inside]
        ends = (min((w.start for w in mates), default=moment.start), max((w.end for w in mates), default=moment.end))
        away = {
            name: min((max(first - moment.end, moment.start - last) for n, first, last in near if n == name and ends[0] <= first <= ends[1]), default=REACH)
            for name in (clock.id, main.id)
        }
        told = any(n == clock.id for n, _, _ in near) and not any(w.text in ("old", "made") for w in mates)
        if away[clock.id] < min(REACH, away[main.id]) or (told and away[main.id] == REACH):
            found.append((away[clock.id], moment, any(w.text in _UNSURE for w in mates)))
    if not found:
        return None, None
    _, moment, doubtful = min(found, key=lambda each: each[0])
    lo, hi = moment.earliest.timestamp(), moment.latest.timestamp()
    return moment, Observation(clock.id, (), lo=lo, hi=hi, approx=moment.vague, certain=not doubtful, text="time")


def _of_main(
    clocks: list[Evidence],
    moments: list[Moment],
    numbers: list[Quantity],
    near: list[tuple[str, int, int]],
    words: list[Word],
    now: datetime,
    question: Evidence | None,
    plain: str,
    already: bool,
) -> list[Observation]:
    main = clocks[0]
    read = [_Told.of(m, words, [n for n in near if n[0] == main.id], plain, question in clocks, now) for m in moments]
    # a time in a short answer to another question belongs to that: "yes, a bowl two hours ago"
    of_the_answer = already and question is not None and question not in clocks and len(words) <= SHORT_ANSWER
    told = [t for t in read if t is not None and (t.anchored or not of_the_answer)]
    if told:
        anchored = [t for t in told if t.anchored] or told
        first = min(t.lo for t in anchored)
        # two times are told: both count, but one that would make the jars younger only when nothing ties the other to the heat
        taken = [t for t in told if t in anchored or t.lo < first]
        target = question if question in clocks and question is not None else main
        return [
            Observation(
                target.id, (), lo=min(t.lo for t in taken), hi=max(t.hi for t in taken), text="time",
                approx=len(taken) > 1 or any(t.vague for t in taken), certain=not any(t.doubtful for t in taken),
            )
        ]  # fmt: skip
    asked = question is not None and question.kind == "clock"
    units = {"minutes": 60.0, "hours": HOUR, "days": 24 * HOUR} if asked else {"days": 24 * HOUR}
    if asked or not any(w.text in _OTHER_EVENTS for w in words):
        heated = bool(_HEATED.search(plain))  # "it was boiled 10 minutes" is no time of day, whatever was asked
        for quantity in () if heated else numbers:  # "14 hours" as an answer; "3 days on the side", "10 days" unasked
            unit = units.get(quantity.kind)
            if unit:
                span = (float(quantity.lo) * unit, float(quantity.hi) * unit)
                target = question if asked and question is not None else main
                return [
                    Observation(
                        target.id, (), lo=now.timestamp() - span[1], hi=now.timestamp() - span[0], approx=quantity.approx,
                        text="time",
                    )
                ]  # fmt: skip
        stood = _stood(plain)
        if stood is not None and not asked:
            ends = (now.timestamp() - days * 24 * HOUR for days in reversed(stood))
            return [Observation(main.id, (), lo=next(ends), hi=next(ends), approx=True, text="time")]
    return []
