"""The verdict: what may still be done with a group of jars. Explicit rules only, never a likelihood.

A rule that is not cleared leaves only the acts it names, within its limits. An act is allowed when every rule leaves it in
every jar that is still possible; the outcome is the name of the best act left.
"""

from datetime import UTC, datetime, timedelta
from typing import NamedTuple

from bot.engine.elapsed import FOREVER, moment_of
from bot.engine.facts import NO, OPEN, YES, Facts
from bot.engine.knowledge import ACTS, Rule

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
        broken = [s for s in self.states if s.clear == NO and not s.rule.only_handling]
        return tuple(s.rule for s in sorted(broken, key=lambda s: (s.rule.handle != "hazard", sum(v > NO for v in s.acts.values()))))


def look(rule: Rule, facts: Facts) -> RuleState:
    """What one rule, softened by the exceptions that name it, lets be done with the jar."""
    clear = facts.any_holds(rule.clear_if)
    if clear == YES:
        return RuleState(rule, YES, _ALL_LEFT)
    acts = {act: max(clear, _within(facts, rule.leaves[act]) if act in rule.leaves else NO) for act in ACTS}
    for exception in facts.knowledge.exceptions.values():
        if exception.softens == rule.id:
            holds = facts.any_holds(exception.if_)
            for act, limits in exception.leaves.items():
                acts[act] = max(acts[act], min(holds, _within(facts, limits)))
    return RuleState(rule, clear, acts)


def _within(facts: Facts, limits: dict[str, float]) -> int:
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
    limits = [limit for state in judgement.states if state.clear != YES for limit in _limits(state.rule, act, facts)]
    ends = [end for clock, hours in limits for end in _ends(clock, hours, facts)]
    return min(ends).astimezone(facts.now.tzinfo) if ends else None


def _limits(rule: Rule, act: str, facts: Facts) -> list[tuple[str, float]]:
    """The limits of a rule on an act, and of the exceptions that give it back."""
    softer = [e.leaves for e in facts.knowledge.exceptions.values() if e.softens == rule.id]
    return [limit for leaves in (rule.leaves, *softer) if act in leaves for limit in leaves[act].items()]


def _ends(clock: str, hours: float, facts: Facts) -> list[datetime]:
    """When a limit runs out, counted from the earliest moment it may have begun; nothing while that is not known."""
    began = moment_of(facts, "opened-when" if clock == "open" else "hours-since-process")
    if began is None:
        return []
    if hours >= _LOOSE:
        return []
    places = facts.possible("storage")
    runs = {"since": True, "open": True, "warm": places == {"room"}, "cold": "room" not in places}
    waited = facts.clock("warm")[0] if clock == "cold" else 0.0  # the cold begins after the shortest time it can have stood warm
    return [began[0].astimezone(UTC) + timedelta(hours=waited + hours)] if runs[clock] else []
