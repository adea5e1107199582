"""The figures that texts may ask for in braces, worked out for this person; a figure that cannot be worked out is None.

A text with a figure that is None is left out, so that nobody is told a number that is not theirs.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime, timedelta

from bot.engine.facts import NO, OPEN, Facts
from bot.engine.gel import boiling_reading
from bot.engine.heat import HIGHEST, altitudes, needed
from bot.engine.knowledge import Knowledge
from bot.engine.moments import clock_words, round_down, span_words
from bot.engine.safety import Judgement, deadline
from bot.kitchen.boiling import boiling_point_f, gel_point_f, gel_target_on_thermometer
from bot.kitchen.units import show_temperature

NUMBERS = "no one two three four five six seven eight nine ten eleven twelve".split()
_BRACES = re.compile(r"\{(\w+)\}")


def number_word(n: int) -> str:
    """"five" for 5; figures above twelve."""
    return NUMBERS[n] if 0 <= n < len(NUMBERS) else str(n)


def start_by(until: datetime, now: datetime, knowledge: Knowledge, limit_hours: float) -> datetime:
    """When to begin so that the bath is boiling again in time."""
    allowance = knowledge.tables["start_before"]
    assert isinstance(allowance, dict)
    minutes = allowance["long"] if limit_hours > 2 else allowance["short"]
    return until - timedelta(minutes=minutes)


class Sums:
    """Works out each figure once, when a text asks for it. `judgement` may be None while there is nothing to judge."""

    def __init__(self, facts: Facts, judgement: Judgement | None, jars: str, metric: bool, act: str = "reprocess") -> None:
        self.facts, self.judgement, self.jars_name, self.metric, self.act = facts, judgement, jars, metric, act
        self._ways: dict[str, Callable[[], str | None]] = {
            "until": self._until,
            "boil_by": self._boil_by,
            "start_by": self._start_by,
            "water_boils": self._water_boils,
            "gel_point": self._gel_point,
            "minutes": self._minutes,
            "jars": lambda: self.jars_name,
            "wait": self._wait,
            "remake_powder": lambda: self._remake("powder"),
            "remake_liquid": lambda: self._remake("liquid"),
            "remake_none": lambda: self._remake("none"),
        }

    def fill(self, text: str) -> str | None:
        """The text with its figures, or None when one of them is not known."""
        missing = False

        def put(match: re.Match[str]) -> str:
            nonlocal missing
            value = self._ways[match.group(1)]()
            missing = missing or value is None
            return value or ""

        filled = _BRACES.sub(put, text)
        return None if missing else filled[:1].upper() + filled[1:]

    # -- deadlines ------------------------------------------------------------------------------------------------
    def limit(self, act: str) -> datetime | None:
        """Deadline of an act, hoping that what is still open turns out well: only rules that the trouble itself breaks count."""
        if self.judgement is None or self.facts.processed_at() is None:
            return None
        named = self.facts.case.problems
        certain = tuple(s for s in self.judgement.states if s.clear == NO or (s.clear == OPEN and s.rule.problem in named))
        hopeful = Judgement("", False, self.judgement.acts, certain, 0, "")
        return deadline(hopeful if self.judgement.acts[act] == 1 else self.judgement, act, self.facts)

    def _rounded(self, act: str) -> datetime | None:
        until = self.limit(act)
        if until is None:
            return None
        belief = self.facts.belief("hours-since-process")
        vague = belief is not None and belief.lo != belief.hi
        until = round_down(until, vague)
        return until if until > self.facts.now else None

    def _until(self) -> str | None:
        until = self._rounded(self.act)
        if until is None:
            return None
        return f"until {clock_words(until, self.facts.now)} ({span_words(until - self.facts.now)} from now)"

    def _boil_by(self) -> str | None:
        until = self._rounded("reprocess")
        return clock_words(until, self.facts.now) if until else None

    def start_time(self) -> datetime | None:
        until = self._rounded("reprocess")
        ended = self.facts.processed_at()
        if until is None or ended is None:
            return None
        hours = (until - ended[0]).total_seconds() / 3600
        return start_by(until, self.facts.now, self.facts.knowledge, hours)

    def _start_by(self) -> str | None:
        start = self.start_time()
        if start is None:
            return None
        return clock_words(start, self.facts.now) if start > self.facts.now else "now"

    # -- heat -----------------------------------------------------------------------------------------------------
    def _height(self) -> float | None:
        belief = self.facts.belief("altitude")
        if belief is None or not belief.certain or belief.lo is None or belief.hi is None:
            return None
        lo, hi = altitudes(self.facts)
        return (lo + hi) / 2 if hi - lo <= 500 and hi < HIGHEST else None

    def _water_boils(self) -> str | None:
        feet = self._height()
        return None if feet is None else show_temperature(boiling_point_f(feet), self.metric)

    def _gel_point(self) -> str | None:
        shown = boiling_reading(self.facts)
        if shown is not None:
            return show_temperature(gel_target_on_thermometer(shown), self.metric)
        feet = self._height()
        return None if feet is None else show_temperature(gel_point_f(feet), self.metric)

    def _minutes(self) -> str | None:
        required = needed(self.facts)
        if required is None or required.uncovered or required.lo != required.hi:
            return None
        return f"{required.hi:g} minutes"

    # -- jam ------------------------------------------------------------------------------------------------------
    def _wait(self) -> str | None:
        slow = any(self.facts.knowledge.foods[f].slow_set for f in self.facts.foods())
        tables = self.facts.knowledge.tables["wait"]
        assert isinstance(tables, dict)
        return str(tables["slow" if slow else "usual"])

    def _remake(self, kind: str) -> str | None:
        from bot.engine.batch import remake_words

        return remake_words(self.facts, kind, self.metric)
