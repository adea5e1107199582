"""Chooses what to do: fixes whose act is still allowed and whose conditions hold, and tips for next time."""

from typing import NamedTuple

from bot.engine.facts import NO, OPEN, YES, Facts
from bot.engine.knowledge import Fix, Problem, Said
from bot.engine.ranking import Ranked
from bot.engine.reply import Advice
from bot.engine.safety import Judgement
from bot.engine.sums import Sums

MOST_FIXES, MOST_TIPS = 8, 3
WORTH_A_TIP = 0.10  # chance of a cause from which its prevention is worth a line


class Plan(NamedTuple):
    """What to do now and with this batch, and what to change next time."""

    fixes: tuple[Advice, ...]
    tips: tuple[Advice, ...]


def plan(
    problem: Problem, ranked: list[Ranked], facts: Facts, judgement: Judgement | None, sums: Sums, final: bool
) -> Plan:
    """`final` when nothing more will be asked: then only acts that are allowed for certain. Fixes for this batch, those of the likeliest causes first, and prevention for the causes worth a line."""
    weight: dict[str, float] = {}  # of each fix, in the order of the causes
    for r in ranked:
        for f in r.cause.fixes:
            weight[f] = max(weight.get(f, r.chance), r.chance)
    of_causes = {x for c in problem.causes.values() for x in c.fixes}
    general = [f for f in problem.fixes.values() if f.id not in of_causes]
    worth = min(WORTH_A_TIP, 0.25 * max((r.chance for r in ranked), default=0.0))
    offered = [problem.fixes[f] for f in weight if f in problem.fixes and weight[f] >= worth]
    allowed = [f for f in (*offered, *general) if _allowed(f, facts, judgement, final)]
    best = judgement.best_act if judgement is not None else None
    allowed.sort(key=lambda f: (best != "shelf" and f.act != best, f.when != "now", f.order, -weight.get(f.id, 0.0)))
    fixes: list[Advice] = []
    for fix in allowed:
        sums.act = fix.act or "reprocess"
        says = sums.fill(fix.says) if len(fixes) < MOST_FIXES else None
        if says is not None:
            until = sums.limit(fix.act) if fix.act and judgement is not None else None
            fixes.append(Advice(says, fix.when, until, fix.sources))
    tips: list[Advice] = []
    for one in ranked:
        if one.chance < worth:
            break
        for said in one.cause.next_time[:2]:
            advice = tip(said, facts, sums) if len(tips) < MOST_TIPS else None
            if advice is not None and advice not in tips:
                tips.append(advice)
    return Plan(tuple(fixes), tuple(tips))


def tip(said: Said, facts: Facts, sums: Sums) -> Advice | None:
    """One line of prevention, or None when it does not apply or a figure in it is not known."""
    if said.if_ and facts.any_holds(said.if_) != YES:
        return None
    says = sums.fill(said.says)
    return Advice(says, "next-time", None, said.sources) if says is not None else None


def _allowed(fix: Fix, facts: Facts, judgement: Judgement | None, final: bool) -> bool:
    if fix.if_ and facts.any_holds(fix.if_) != YES:
        return False
    if judgement is None:
        return fix.act is None
    if judgement.outcome.startswith("discard"):
        return False
    if fix.act is None:
        return True
    value = judgement.acts.get(fix.act, NO)
    return value == YES or (value == OPEN and not final)
