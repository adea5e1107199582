"""One message of a bath's log: begun, a reading, a boil that stopped or came back, the end. The knowledge owns what is said."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from bot.engine import log_begun, log_words
from bot.engine.emergency import OF_THE_PERSON
from bot.engine.facts import Facts
from bot.engine.log_kept import kept, written
from bot.engine.log_learns import learnt_of
from bot.engine.log_readings import Told, readings_in
from bot.engine.log_taken import taken, time_of
from bot.engine.orders import OF_THE_HEAT, Heard, tells_trouble
from bot.engine.reply import Reply
from bot.engine.stove_log import BOIL, GENTLE, Log, Noted, counted, log_of, open_log
from bot.engine.understood import tell_danger
from bot.engine.wording import aside
from bot.kitchen.bath_log import Bath
from bot.kitchen.units import c_to_f

if TYPE_CHECKING:
    from bot.engine.turn import Outcome

LEAST_READING = 45.0  # °C: no bath that is being heated reads less, and nothing is counted so high
_LASTED = re.compile(r"\bfor\b\D{0,12}\d")
CLEAR_QUESTION = 3  # weight of phrases from which a message asks something rather than orders it


def answer(heard: Heard) -> Outcome | None:
    """What comes of a message for the log; None when it is none."""
    if tells_trouble(heard.reading, heard.engine.knowledge, OF_THE_HEAT):
        return _fell_beside(heard)
    if max(heard.reading.asked.values(), default=0) >= CLEAR_QUESTION:
        return None
    order = heard.spoken.order
    facts = Facts(heard.engine.knowledge, heard.case, heard.now)
    log = open_log(heard.turns, facts)
    done = log is not None and counted(log, facts).state == "done"
    if order == "log-gentle" and log is not None and log.kind == GENTLE and not done:  # it is kept already
        told = log_begun.beside_the_order(heard)
        return taken(heard, log, told, facts) if told else _shown(heard, log, facts)
    if order in log_begun.BEGINS:
        return log_begun.begin(heard)
    if order == "log" and len(heard.spoken.words) <= heard.spoken.last:
        return _shown(heard, log_of(heard.turns), facts)
    if log is None:
        return None
    if order == "log-end":
        return _ended(heard, log, facts)
    if order == "timers" and not any(w.stem == "timer" for w in heard.spoken.words):
        return _shown(heard, log, facts)
    if log.kind == BOIL and (order == "boil-stopped" or (order in ("boil-back", "boiling") and _says_no_more(heard))):
        return _boil(heard, log, facts, done)
    return _readings(heard, log, facts, done)


def _readings(heard: Heard, log: Log, facts: Facts, done: bool) -> Outcome | None:
    from bot.engine.turn import Outcome

    asked_before = not heard.turns[-1].get("beside")
    if heard.reading.answered and heard.case.question is not None and asked_before:
        return None
    told = readings_in(heard.spoken.plain, heard.now, heard.engine.knowledge.concepts.get("log-filler", ()))
    if told is None or all(each.lo is None for each in told) or (log.kind == BOIL and not _of_a_thermometer(told)):
        return None if done else _fell(heard, log, facts)
    if done and all(
        each.at is None and each.minute is None for each in told
    ):  # a number after the end is no reading any more
        return Outcome(aside(heard.engine.text("log-done-already"))) if _of_a_thermometer(told) else None
    return taken(heard, log, told, facts)


def _fell_beside(heard: Heard) -> Outcome | None:
    """A fall with its degrees beside another trouble of the jars: the log first; a danger or an illness before everything."""
    facts = Facts(heard.engine.knowledge, heard.case, heard.now)
    log = open_log(heard.turns, facts)
    seen = [o for o in heard.reading.observations if o.evidence not in OF_THE_HEAT]
    danger = any(o.evidence in OF_THE_PERSON for o in seen) or tell_danger(seen, heard.engine.knowledge.evidence)
    if log is None or counted(log, facts).state == "done" or danger:
        return None
    return _fell(heard, log, facts) if _DEGREES.search(heard.spoken.plain) else None


_FALLS = re.compile(r"\b(?:drop|droped|dropt|fell|falls|fallen|dipp?ed|sank|sunk|below|down (?:at|to))")
_DEGREES = re.compile(r"(?<![\d.:])(\d{2,3})(?![\d:%])")
LONGEST_FALL = 14  # words: more of them are a story, for the rules
CELSIUS_TOP = 110.0  # a bath read above it is read in °F


def _fell(heard: Heard, log: Log, facts: Facts) -> Outcome | None:
    """A fall that is told in words no reading was found in: "oh no it droped to 170". The clock must not run on past it."""
    plain = heard.spoken.plain
    if log.kind != GENTLE or heard.reading.words > LONGEST_FALL or not _FALLS.search(plain) or "?" in plain:
        return None
    told = [n if n > CELSIUS_TOP else c_to_f(n) for n in map(float, _DEGREES.findall(plain)) if n >= LEAST_READING]
    bath = heard.engine.knowledge.tables["gentle_bath"]
    assert isinstance(bath, Bath) and bath.least is not None
    lowest = min(told, default=bath.least - 1.0)  # how far it fell was not told: under the band it was
    fell = written(heard, log, [Noted(heard.now, lowest, lowest)], facts)
    return fell if told else fell._replace(reply=aside(heard.engine.text("log-fell")))


def _says_no_more(heard: Heard) -> bool:
    """Whether nothing but the boil and its time is told: whatever clears a doubt must not be read out of a longer story."""
    fillers = frozenset(heard.engine.knowledge.concepts.get("log-filler", ()))
    said = range(heard.spoken.first, heard.spoken.last)
    rest = [w.text for n, w in enumerate(heard.spoken.words) if n not in said]
    return all(word in fillers or word[0].isdigit() for word in rest) and "?" not in heard.spoken.plain


def _of_a_thermometer(told: Sequence[Told]) -> bool:
    """Whether numbers can be meant for a bath at all: no count of jars, no number of a choice."""
    return all(each.unit or (each.hi is not None and each.hi >= LEAST_READING) for each in told)


def _boil(heard: Heard, log: Log, facts: Facts, done: bool) -> Outcome | None:
    """The boil seen, stopped or back, now or at a time that is told with it."""
    from bot.engine.turn import Outcome

    spoken = heard.spoken
    first, last = spoken.words[spoken.first].start, spoken.words[spoken.last - 1].end
    rest = spoken.plain[:first] + " " * (last - first) + spoken.plain[last:]
    lasted = _LASTED.search(rest) is not None  # "for 2 minutes" says how long it stood still, and not when
    times = [] if lasted else readings_in(rest, heard.now, [w.text for w in spoken.words]) or []
    if done and not times and not _says_no_more(heard):  # a longer story of a boil that stopped is one of the batch
        return None
    if done and not times:  # the heat was turned off, as it should be
        return Outcome(aside(heard.engine.text("log-done-already")))
    at, by_clock = heard.now, False
    for each in times[:1]:
        found, by_clock = time_of(heard, log, each, facts)
        if each.unclear or each.lo is not None or found is None:
            return Outcome(
                aside(heard.engine.text("log-when", said=spoken.plain.strip(), example=f"stopped at {heard.now:%H:%M}"))
            )
        at = found
    seen = 0.0 if spoken.order == "boil-stopped" else 1.0
    return written(heard, log, [Noted(at, seen, seen, by_clock)], facts)


def _ended(heard: Heard, log: Log, facts: Facts) -> Outcome:
    lines = [heard.engine.text("log-ended"), *log_words.standing(heard, log._replace(ended=True), facts)]
    learnt = learnt_of(log, counted(log, facts))
    return kept(heard, log._replace(ended=True), lines, {"end": True}, learnt, facts)


def _shown(heard: Heard, log: Log | None, facts: Facts) -> Outcome:
    from bot.engine.turn import Outcome

    if log is None:
        return Outcome(aside(heard.engine.text("log-none")))
    lines = [*log_words.standing(heard, log, facts), log_words.listed(heard, log, facts)]
    return Outcome(Reply("aside", tuple(line for line in lines if line)))


def after_undo(heard: Heard) -> list[str]:
    """How the log stands, once its last message was taken back; nothing when there is none any more."""
    facts = Facts(heard.engine.knowledge, heard.case, heard.now)
    log = open_log(heard.turns, facts)
    return log_words.standing(heard, log, facts) if log is not None else []
