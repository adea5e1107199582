"""One mistake at a time in the safety rules and in what they rest on. The knowledge counts as code here."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeVar

from bot.engine.elapsed import FOREVER
from bot.engine.knowledge import ACTS, CLOCKS, COMPUTED, Condition, Evidence, Knowledge, Rule, RuleException

T = TypeVar("T", Rule, RuleException)
DAY = 24.0
LOOSE = FOREVER / 2
SINCE = {"since": 2.0}


@dataclass(frozen=True)
class Mutant:
    """A broken knowledge: which rule, exception or evidence was broken, how, and what came of it."""

    of: str
    how: str
    milder: bool  # whether the mistake can only make the advice milder, or only harsher
    knowledge: Knowledge

    @property
    def id(self) -> str:
        return f"{self.of}: {self.how}"


def of_rules(known: Knowledge) -> Iterator[Mutant]:
    """Each rule dropped, its outcome made one step milder or harsher, each figure moved a step, each condition changed."""
    for rule in known.rules.values():
        yield _without(known, rule)
        for how, milder, broken in _broken(known, rule):
            yield Mutant(rule.id, how, milder, known._replace(rules={**known.rules, rule.id: broken}))
    for each in known.exceptions.values():
        left = {key: value for key, value in known.exceptions.items() if key != each.id}
        yield Mutant(each.id, "dropped", False, known._replace(exceptions=left))
        for how, milder, softer in _moved_limits(each):
            yield Mutant(each.id, how, milder, known._replace(exceptions={**known.exceptions, each.id: softer}))


def _without(known: Knowledge, rule: Rule) -> Mutant:
    return Mutant(rule.id, "dropped", True, known._replace(rules={k: v for k, v in known.rules.items() if k != rule.id}))


def _broken(known: Knowledge, rule: Rule) -> Iterator[tuple[str, bool, Rule]]:
    if rule.handle:
        yield "no longer a hazard", True, rule._replace(handle=None)
    if not rule.only_handling:
        missing = [act for act in ACTS[1:] if act not in rule.leaves]
        for act in missing[-1:]:  # the mildest outcome that is one step away
            yield f"leaves {act} as well", True, rule._replace(leaves={**rule.leaves, act: SINCE})
        for act in rule.leaves:
            yield f"no longer leaves {act}", False, rule._replace(leaves={k: v for k, v in rule.leaves.items() if k != act})
        yield from _moved_limits(rule)
    for n, condition in enumerate(rule.clear_if):
        others = (*rule.clear_if[:n], *rule.clear_if[n + 1 :])
        if others:
            yield f"not cleared by line {n + 1}", False, rule._replace(clear_if=others)
        for name in condition if len(condition) > 1 else ():
            fewer = {key: value for key, value in condition.items() if key != name}
            yield f"line {n + 1} without {name}", True, rule._replace(clear_if=_with(rule, n, fewer))
        for name, answers in condition.items():
            for answer in _answers(known, name):
                changed = tuple(a for a in answers if a != answer) if answer in answers else (*answers, answer)
                if changed:
                    how = f"line {n + 1} {'without' if answer in answers else 'with'} {name}: {answer}"
                    yield how, answer not in answers, rule._replace(clear_if=_with(rule, n, {**condition, name: changed}))


def _with(rule: Rule, n: int, condition: Condition) -> tuple[Condition, ...]:
    return (*rule.clear_if[:n], condition, *rule.clear_if[n + 1 :])


def _answers(known: Knowledge, name: str) -> list[str]:
    if name in CLOCKS:
        return []
    if name in COMPUTED:
        return list(COMPUTED[name])
    return list(known.evidence[name].answers)


def _moved_limits(rule: T) -> Iterator[tuple[str, bool, T]]:
    """Each figure one step later and one step earlier: an hour up to two days, a day above that."""
    for act, limits in rule.leaves.items():
        for clock, hours in limits.items():
            step = DAY if hours > 2 * DAY else 1.0
            for moved, milder in ((hours + step, True), (hours - step, False)) if hours < LOOSE else ():
                leaves = {**rule.leaves, act: {**limits, clock: moved}}
                yield f"{act} {clock} {moved:g} h for {hours:g} h", milder, rule._replace(leaves=leaves)


def of_evidence(known: Knowledge) -> Iterator[Mutant]:
    """What rules rest on: silences, what stands, danger signs, what one answer settles of another, and all words for an answer."""
    for entry in known.evidence.values():
        for how, broken in _broken_evidence(entry) if entry.safety else ():
            yield Mutant(entry.id, how, True, known._replace(evidence={**known.evidence, entry.id: broken}, lexicon={}))


def _broken_evidence(entry: Evidence) -> Iterator[tuple[str, Evidence]]:
    if entry.stands:
        yield "nothing stands", entry._replace(stands=())
    if entry.danger:
        yield "no danger signs", entry._replace(danger=())
    if entry.implies:
        yield "implies nothing", entry._replace(implies={})
    if entry.silent is not None:
        yield "silence says nothing", entry._replace(silent=None)
        if entry.silent.if_:
            yield "silence always speaks", entry._replace(silent=entry.silent._replace(if_=(), covered_by=()))
    for answer in entry.answers.values():
        if answer.heard_as:
            yield f"no words for {answer.id}", entry._replace(answers={**entry.answers, answer.id: answer._replace(heard_as=())})
        if answer.also:
            yield f"{answer.id} settles nothing else", entry._replace(answers={**entry.answers, answer.id: answer._replace(also={})})
