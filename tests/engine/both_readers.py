"""The verdict read twice: by the engine, and by a second reader written by somebody else from the meaning of the rules."""

from __future__ import annotations

import random
from collections.abc import Iterator
from functools import cache
from typing import Any

from bot.engine.case import ALL, Case, Observation, fold
from bot.engine.elapsed import HOUR
from bot.engine.facts import Facts
from bot.engine.knowledge import ACTS, Knowledge
from bot.engine.published import with_tables
from bot.engine.safety import judge
from bot.library import find_folder, load
from tests.engine import second_reader as second
from tests.jars import NOW, observation_of
from tests.test_published_decisions import DATA

Heard = tuple[dict[str, second.Told], second.Span, second.Span]  # answers, and hours on the two clocks
CLOCKS = ("hours-since-process", "opened-when")
AROUND = (0.0, 1.0, 1.98, 2.0, 2.02, 23.98, 24.0, 24.02, 71.9, 72.0, 74.1, 95.9, 96.0, 98.1, 167.9, 168.0, 170.1, 335.9, 336.0, 338.1, 719.9, 720.0, 722.1, 5000.0)


@cache
def known() -> Knowledge:
    return with_tables(load())


@cache
def read() -> second.Known:
    return second.read_knowledge(find_folder())


def told_of(facts: Facts) -> Heard:
    """What was said, as the second reader takes it: answers and doubts, and hours on the two clocks."""
    told: dict[str, second.Told] = {}
    spans: dict[str, second.Span] = dict.fromkeys(CLOCKS)
    now = facts.now.timestamp()
    for (name, _), belief in facts.case.beliefs.items():
        entry = facts.knowledge.evidence[name]
        if name in CLOCKS:
            if belief.lo is not None and belief.hi is not None and belief.certain:
                spans[name] = (max(0.0, (now - belief.hi) / HOUR), max(0.0, (now - belief.lo) / HOUR))
                told[name] = second.Told(answers=frozenset(entry.answers))
            continue
        answers = belief.possible if entry.kind not in ("several", "food") else belief.present
        if belief.lo is not None and belief.certain:
            figure = facts.cells(entry, belief)
            answers = answers | figure if answers and not answers & figure else answers or figure
        unsure = belief.cant_say or not belief.certain
        told[name] = second.Told(answers or frozenset(), unsure, belief.contradicted and entry.kind not in ("several", "food"), belief.absent, belief.complete)
    return told, spans["hours-since-process"], spans["opened-when"]


def differences(case: Case) -> str:
    """How the two readers differ about a case; empty when they agree."""
    facts = Facts(known(), case, NOW)
    return differ(facts, told_of(facts), read())


def differ(facts: Facts, heard: Heard, book: second.Known) -> str:
    """How the two readers differ: one reads these facts, the other what was heard, under the same rules. Whether the minutes in
    the bath were enough is read from the table once, and handed to the second reader."""
    mine = judge(facts)
    told, hours, opened = heard
    other = second.verdict(book, told, hours, facts.possible("minutes-enough"), opened)
    words = {act: ("no", "open", "yes")[mine.acts[act]] for act in ACTS}
    if (mine.outcome, mine.settled, words) == (other.outcome, other.settled, other.acts):
        return ""
    return f"{mine.outcome} {mine.settled} {words}, the other {other}"


def random_case(draw: random.Random) -> Case:
    """Things said at random about one batch: silences, doubts, contradictions and corrections among them. Every other case
    begins as a jar about which everything is right, of which up to four things are told otherwise."""
    said = list(_said(draw)) if draw.random() < 0.5 else list(_nearly_sound(draw))
    turns = [{"observations": [seen.as_dict()]} for seen in said]
    return fold(turns, known().evidence)


def _said(draw: random.Random) -> Iterator[Observation]:
    for entry in known().evidence.values():
        if not entry.safety or draw.random() < 0.4:
            continue
        for _ in range(1 if draw.random() < 0.9 else 2):
            yield _one(entry.id, draw)


def _nearly_sound(draw: random.Random) -> Iterator[Observation]:
    jar = draw.choice(list(DATA["sound"].values()))
    for name, value in jar.items():
        if draw.random() < 0.97:
            yield observation_of(name, value, known().evidence[name].kind)
    safety = [entry.id for entry in known().evidence.values() if entry.safety]
    for name in draw.sample(safety, draw.choice((0, 0, 1, 1, 2, 3, 4))):
        yield _one(name, draw)._replace(replaces=draw.random() < 0.7)


def _one(name: str, draw: random.Random) -> Observation:
    entry = known().evidence[name]
    if draw.random() < 0.08:
        return Observation(name, cant_say=True)
    if entry.kind == "clock":
        now, hours = NOW.timestamp(), sorted((draw.choice(AROUND), draw.choice(AROUND)))
        first = hours[0] if draw.random() < 0.3 else hours[1]
        return Observation(name, lo=now - hours[1] * HOUR, hi=now - first * HOUR)
    if entry.kind == "food":
        return Observation(name, tuple(draw.sample(list(known().foods), draw.choice((1, 1, 1, 2)))))
    answers: list[Any] = list(entry.answers)
    picked = draw.choice(answers)
    if entry.kind == "several":
        return Observation(name, (picked,), denied=picked != "none" and draw.random() < 0.3, complete=draw.random() < 0.5)
    number = entry.answers[picked]
    if number.leaves_open:
        return Observation(name, cant_say=True)
    if number.from_ is not None or number.to is not None:
        at = number.from_ if number.from_ is not None else (number.to or 1.0) - 1.0
        return Observation(name, lo=at, hi=at)
    usable = [a for a in answers if not entry.answers[a].leaves_open]
    good = draw.random() < 0.8  # mostly the usual answer, so that some jars come out well
    return Observation(name, (usable[0] if good else picked,), denied=not good and draw.random() < 0.15)


def disagreements(cases: int, seed: int) -> tuple[int, tuple[str, ...]]:
    """How many random cases were read, and where the two differ."""
    draw = random.Random(seed)
    found = []
    for _ in range(cases):
        case = random_case(draw)
        different = differences(case)
        if different:
            found.append(f"{different}: { {n: b for (n, g), b in case.beliefs.items() if g == ALL} }")
    return cases, tuple(found)
