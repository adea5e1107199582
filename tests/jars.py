"""Jars described by plain data (evidence id -> answer, number, span, `unsure`, {seen: [answers]}), as facts the engine can judge."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from bot.engine.case import ALL, Belief, Case, Observation, settle
from bot.engine.facts import HOUR, Facts
from bot.engine.knowledge import ACTS, Knowledge
from bot.engine.safety import Judgement, judge

NOW = datetime(2026, 9, 20, 12, tzinfo=UTC)
UNSURE, SILENT = "unsure", "silent"

Jar = Mapping[str, Any]


def facts_of(jar: Jar, known: Knowledge) -> Facts:
    """The facts of a jar about which exactly this was said."""
    beliefs: dict[tuple[str, str], Belief] = {}
    for name, value in jar.items():
        if value != SILENT:
            entry = known.evidence[name]
            seen = observation_of(name, value, entry.kind)
            beliefs[name, ALL] = settle(None, seen, entry)
    return Facts(known, Case(beliefs=beliefs), NOW)


def observation_of(name: str, value: Any, kind: str) -> Observation:
    if value == UNSURE:
        return Observation(name, cant_say=True)
    if isinstance(value, list) and kind not in ("several", "food", "choice"):
        return number_of(name, float(value[0]), float(value[1]), kind)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return number_of(name, float(value), float(value), kind)
    if isinstance(value, dict):  # seen, and not said that it is all there is
        return Observation(name, tuple(value["seen"]))
    answers = tuple(value) if isinstance(value, list) else (str(value),)
    return Observation(name, answers, complete=kind == "several")


def number_of(name: str, low: float, high: float, kind: str) -> Observation:
    if kind == "clock":
        now = NOW.timestamp()
        return Observation(name, lo=now - high * HOUR, hi=now - low * HOUR)
    return Observation(name, lo=low, hi=high)


def judged(jar: Jar, known: Knowledge) -> Judgement:
    return judge(facts_of(jar, known))


def allowed(judgement: Judgement) -> list[str]:
    """The acts that are certainly allowed, best first."""
    return [act for act in ACTS if judgement.acts[act] == 2]
