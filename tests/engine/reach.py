"""What a rule reads: its lines and limits, those of the silences they rest on, and the evidence behind them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from bot.engine.facts import FOREVER, YES, Facts
from bot.engine.knowledge import BEHIND, CLOCKS, Condition, Rule, RuleException
from tests.engine.tellings import CLOCK, knowledge

MINUTES_FROM = (*BEHIND["minutes-enough"], "recipe-source")  # what the fact `minutes-enough` is worked out from
Line = tuple[str, tuple[str, ...]]
Limit = tuple[str, float]  # clock, hours


def limits_of(rule: Rule) -> list[tuple[str, str, float]]:
    """(act, clock, hours) of a rule and of the exceptions that soften it."""
    return [(act, *limit) for acts in leaves_of(rule) for act, limits in acts.items() for limit in real_limits(limits)]


def leaves_of(rule: Rule) -> list[dict[str, dict[str, float]]]:
    """What a rule leaves, and what each of the exceptions that soften it leaves."""
    return [rule.leaves, *(each.leaves for each in softening(rule))]


def real_limits(limits: dict[str, float]) -> list[Limit]:
    """Limits without those that set none ("any")."""
    return [(clock, hours) for clock, hours in limits.items() if hours < FOREVER / 2]


def softening(rule: Rule) -> list[RuleException]:
    return [each for each in knowledge().exceptions.values() if each.softens == rule.id]


def conditions_of(rule: Rule) -> list[Condition]:
    """Those of the rule and of the exceptions that soften it."""
    return [*rule.clear_if, *(condition for each in softening(rule) for condition in each.if_)]


@dataclass(frozen=True)
class View:
    """Pieces of evidence that belong together, and all that a rule makes of them: its lines, and the limits of each act."""

    names: tuple[str, ...]
    lines: tuple[Line, ...]
    limits: tuple[tuple[Limit, ...], ...]
    beside_minutes: bool  # the rule reads `minutes-enough`: this and more is told beside

    def __hash__(self) -> int:
        return hash(self.names)  # views are looked up many times, and few have the same names


@dataclass(frozen=True)
class Reach:
    """All that can move a rule, in parts that nothing connects. A part that matters only while some evidence is silent has
    that evidence in `heard_in_silence_of`, in the same place."""

    parts: tuple[View, ...]
    heard_in_silence_of: tuple[frozenset[str], ...]

    @property
    def names(self) -> list[str]:
        return [name for part in self.parts for name in part.names]


@cache
def reach(rule_id: str) -> Reach:
    rule = knowledge().rules[rule_id]
    conditions = conditions_of(rule)
    direct = [*(name for condition in conditions for name in condition), *(clock for _, clock, _ in limits_of(rule))]
    todo, together, owners = list(direct), {name: {name} for name in direct}, {name: {""} for name in direct}
    while todo:
        name = todo.pop()
        conditions += _silences(name)
        for other in [each for condition in _silences(name) for each in condition]:
            owners.setdefault(other, set()).add(name)
            if other not in together:
                together[other] = {other}
                todo.append(other)
        for other in behind(name):
            todo += [] if other in together else [other]
            joined = together[name] | together.get(other, {other})
            together |= dict.fromkeys(joined, joined)
    lines = dict.fromkeys(line for condition in conditions for line in condition.items())
    found: dict[View, frozenset[str]] = {}
    for joined in together.values():
        owned = frozenset(owner for each in joined for owner in owners.get(each, ()))
        found[_view(rule, joined, list(lines))] = frozenset() if "" in owned else owned
    places = list(knowledge().evidence)
    parts = sorted(found, key=lambda part: (bool(found[part]), [places.index(name) for name in part.names]))
    return Reach(tuple(parts), tuple(found[part] for part in parts))


def _view(rule: Rule, joined: set[str], lines: list[Line]) -> View:
    """The part of a rule that these names make, evidence, worked-out facts and clocks."""
    names = tuple(each for each in knowledge().evidence if each in joined)
    limits = {
        tuple(sorted(limit for limit in real_limits(limits) if limit[0] in joined))
        for acts in leaves_of(rule) for limits in acts.values()
    }  # fmt: skip
    read = [(name, answers) for name, answers in lines if name in joined]
    return View(names, tuple(sorted(read)), tuple(sorted(limits - {()})), "minutes-enough" in joined)


def _silences(name: str) -> list[Condition]:
    entry = knowledge().evidence.get(name)
    return [*entry.silent.if_, *entry.silent.covered_by] if entry is not None and entry.silent is not None else []


def behind(name: str) -> list[str]:
    """What a line or clock is worked out from, and what implies an answer."""
    implying = [entry.id for entry in knowledge().evidence.values() if name in entry.implies]
    return [*worked_out_from(name), *implying]


def only_implies(part: View, name: str) -> bool:
    """Whether a piece of evidence matters to a part only because any answer to it settles another one that is silent."""
    reads = {line for line, _ in part.lines} | {clock for limits in part.limits for clock, _ in limits}
    return name not in {*reads, *(each for read in reads for each in worked_out_from(read))} and bool(knowledge().evidence[name].implies)


def worked_out_from(name: str) -> tuple[str, ...]:
    """What a fact or clock is worked out from; for minutes what a rule tells apart by itself, the rest is in minutes.py."""
    narrower = {
        "since": (CLOCK,),
        "product": ("food",),
        "minutes-enough": ("product", "food", "process-method", "process-minutes", "recipe-source"),
    }
    return narrower.get(name, BEHIND.get(name, ()))


def reads_minutes(rule_id: str) -> bool:
    return any(part.beside_minutes for part in reach(rule_id).parts)


def clocks_of(name: str) -> list[str]:
    """The clocks that are worked out from a piece of evidence."""
    return [clock for clock in CLOCKS if name in BEHIND[clock]]


def speaks(name: str, facts: Facts) -> bool:
    """Whether the silence about a piece of evidence is documented to mean something here."""
    silence = knowledge().evidence[name].silent
    if silence is None:
        return False
    conditions = [*silence.if_, *silence.covered_by]
    return not conditions or any(facts.holds(condition) == YES for condition in conditions)
