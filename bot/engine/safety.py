"""The verdict: what may still be done with a group of jars. Explicit rules only, never a likelihood.

A rule that is not cleared leaves only the acts it names, within its limits. An act is allowed when every rule leaves it in
every jar that is still possible; the outcome is the name of the best act left.
"""

from datetime import UTC, datetime, timedelta
from typing import NamedTuple

from bot.engine.elapsed import FOREVER, moment_of
from bot.engine.facts import NO, OPEN, YES, Facts
from bot.engine.knowledge import ACTS, Rule, RuleException

OUTCOMES = ("shelf-ok", "quality-only", "reprocess-now", "fridge-use-soon", "ask-expert", "discard", "discard-hazard")
_NAMES = {"shelf": "shelf-ok", "reprocess": "reprocess-now", "fridge": "fridge-use-soon", "freeze": "fridge-use-soon"}
_LOOSE = FOREVER / 2
_ALL_LEFT = dict.fromkeys(ACTS, YES)


class RuleState(NamedTuple):
    """One rule seen against the facts: whether it is cleared, and what it lets be done."""

    rule: Rule
    clear: int
    acts: dict[str, int]


class Judgement(NamedTuple):
    """The outcome for one group of jars, what is still open, and the rules it rests on (those not cleared)."""

    outcome: str
    settled: bool
    acts: dict[str, int]
    states: tuple[RuleState, ...]
    hazard: int
    worst: str

    @property
    def best_act(self) -> str | None:
        return next((a for a in ACTS if self.acts[a] == YES), None)

    @property
    def broken(self) -> tuple[Rule, ...]:
        """Rules that are certainly not cleared, the ones that leave least first."""
        not_cleared = [s for s in self.states if s.clear == NO]
        broken = [s for s in not_cleared if not s.rule.only_handling]
        return tuple(s.rule for s in sorted(broken, key=lambda s: (s.rule.handle != "hazard", sum(v > NO for v in s.acts.values()))))


def look(rule: Rule, facts: Facts) -> RuleState:
    """What one rule, softened by the exceptions that name it, lets be done with the jar."""
    clear = facts.any_holds(rule.clear_if)
    if clear == YES:
        return RuleState(rule, YES, _ALL_LEFT)
    acts = {act: max(clear, within(facts, rule.leaves[act]) if act in rule.leaves else NO) for act in ACTS}
    for exception in facts.knowledge.exceptions.values():
        if exception.softens == rule.id:
            holds = facts.any_holds(exception.if_)
            for act, limits in exception.leaves.items():
                acts[act] = max(acts[act], min(holds, within(facts, limits)))
    return RuleState(rule, clear, acts)


def within(facts: Facts, limits: dict[str, float]) -> int:
    """YES, OPEN or NO: whether all limits of an act are still kept."""
    return min((facts.in_time(clock, hours) for clock, hours in limits.items() if hours < _LOOSE), default=YES)


def judge(facts: Facts) -> Judgement:
    """The verdict on one group of jars."""
    states = tuple(look(rule, facts) for rule in facts.knowledge.rules.values())
    acts = {act: min((s.acts[act] for s in states), default=NO) for act in ACTS}
    hazard = max((YES - s.clear for s in states if s.rule.handle == "hazard"), default=NO)
    outcome, settled = _name(acts, hazard)
    at_worst = {act: YES if value == YES else NO for act, value in acts.items()}
    worst, _ = _name(at_worst, hazard)
    return Judgement(outcome, settled, acts, states, hazard, worst)


def _name(acts: dict[str, int], hazard: int) -> tuple[str, bool]:
    best = next((i for i, act in enumerate(ACTS) if acts[act] == YES), None)
    if best is not None:
        return _NAMES[ACTS[best]], OPEN not in [acts[act] for act in ACTS[:best]]
    if OPEN in acts.values():
        return "ask-expert", False
    # a danger not ruled out is handled as one
    return ("discard-hazard", hazard == YES) if hazard else ("discard", True)


def at_best(judgement: Judgement) -> str:
    """What it would become if every open fact turned out well."""
    return _name({act: YES if value else NO for act, value in judgement.acts.items()}, NO)[0]


def deadline(judgement: Judgement, act: str, facts: Facts) -> datetime | None:
    """Until when the act is allowed: the earliest limit of all rules not cleared. None when nothing limits it or no time is known."""
    not_cleared = [state.rule for state in judgement.states if state.clear != YES]
    ends = [_end(rule, act, facts) for rule in not_cleared]
    known = [end for end in ends if end is not None]
    return min(known).astimezone(facts.now.tzinfo) if known else None


def reason(judgement: Judgement, facts: Facts) -> tuple[str, str]:
    """What is told as the reason, and its note: of the rules that leave least, the one whose limit runs out first.

    Where an exception gives something back, its sentence stands for that of the rule. Empty when every rule is cleared.
    """
    acts_left = {state.rule.id: sum(value > NO for value in state.acts.values()) for state in judgement.states}
    act = judgement.best_act or ""
    rules = sorted(judgement.broken, key=lambda r: (r.handle != "hazard", acts_left[r.id], _end(r, act, facts) or _NEVER))
    if not rules:
        return "", ""
    softer = _softer(rules[0], act, facts)
    if softer:
        return softer[0].says, ""
    return rules[0].says, rules[0].note or ""


def may_be_softened(rule: Rule, facts: Facts) -> bool:
    """Whether a rule that leaves nothing may yet be given something back: then "throw it out" is not told of it yet."""
    softer = [e for e in facts.knowledge.exceptions.values() if e.softens == rule.id]
    return not rule.leaves and any(facts.any_holds(e.if_) != NO for e in softer)


_NEVER = datetime.max.replace(tzinfo=UTC)


def _softer(rule: Rule, act: str, facts: Facts) -> list[RuleException]:
    """The exceptions that give this act back to the rule for what is known of these jars."""
    mine = [e for e in facts.knowledge.exceptions.values() if e.softens == rule.id]
    giving = [e for e in mine if act in e.leaves]
    return [e for e in giving if facts.any_holds(e.if_) == YES]


def _end(rule: Rule, act: str, facts: Facts) -> datetime | None:
    """When a rule that is not cleared stops leaving an act; with exceptions, when the longest of them does. None: not limited."""
    ways = [leaves[act] for leaves in (rule.leaves, *(e.leaves for e in _softer(rule, act, facts))) if act in leaves]
    ends = [min((end for limit in way.items() for end in _ends(*limit, facts)), default=_NEVER) for way in ways]
    last = max(ends, default=_NEVER)
    return None if last == _NEVER else last


def _ends(clock: str, hours: float, facts: Facts) -> list[datetime]:
    """When a limit runs out, counted from the earliest moment it may have begun; nothing while that is not known."""
    began = moment_of(facts, "opened-when" if clock == "open" else "hours-since-process")
    if began is None:
        return []
    if hours >= _LOOSE:
        return []
    places = facts.possible("storage")
    runs = {"since": True, "open": True, "warm": "room" in places, "cold": places != {"room"}}
    return [began[0].astimezone(UTC) + timedelta(hours=hours)] if runs[clock] else []
