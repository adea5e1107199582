"""The next question, or none: first facts that could keep an act open, then what tells the leading causes apart.

A question is worth asking only if an answer could change what is told. The limit on questions cuts diagnosis, never safety:
when it is reached with a safety fact open, the verdict stays at hold.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from bot.engine.facts import NO, OPEN, YES, Facts
from bot.engine.knowledge import BEHIND, CLOCKS, COMPUTED, Condition, Evidence, Limits, Problem
from bot.engine.ranking import Seen, answers_of, applicable, entropy, likelihood, posterior, seen_of, sign_evidence
from bot.engine.safety import Judgement, RuleState, within

MOST_QUESTIONS = 9  # about safety; a pickle told of in three words has that many facts
MOST_WITH_CAUSES = 8  # of both kinds: why it happened is worth fewer
MOST_FOR_CAUSES = 3
SURE_ENOUGH = 0.75  # a leading cause this likely is told without more questions
WORTH_BITS = 0.08  # least expected gain of a question about causes, per unit of effort


class Next(NamedTuple):
    """The question to put next, and the group of jars it is about ("" for the batch)."""

    evidence: str
    group: str


def askable(facts: Facts, name: str) -> bool:
    """Whether the question can be put: it exists, makes sense now, was not answered, and not passed over twice."""
    memory: dict[str, bool] = facts.notes.setdefault("askable", {})  # type: ignore[assignment]
    if name not in memory:
        memory[name] = _askable(facts, name)
    return memory[name]


def _askable(facts: Facts, name: str) -> bool:
    entry = facts.knowledge.evidence.get(name)
    if entry is None or not entry.asks:
        return False
    group = facts.group if entry.of == "jars" else ""
    belief = facts.belief(name)
    if belief is not None and belief.cant_say:
        return False
    if {(name, group), (name, "")} & facts.case.asked_again:
        return False
    if facts.known(name) and not _worth_asking_again(facts, name):
        return False
    return not entry.asked_if or facts.any_holds(entry.asked_if) == YES


def _worth_asking_again(facts: Facts, name: str) -> bool:
    """A vague time ("yesterday") once more, where a limit lies inside it; readings on both sides of one; what there is besides a sign."""
    entry, belief = facts.knowledge.evidence[name], facts.belief(name)
    if belief is None or _passed_over(facts, name):
        return False
    if entry.kind == "temperature":
        return entry.safety and len(facts.possible(name)) > 1
    return belief.approx if entry.kind == "clock" else entry.kind == "several" and not belief.complete


def _passed_over(facts: Facts, name: str) -> bool:
    """Whether it was asked before: a question about causes is put once, only what safety rests on is put again."""
    return bool({(name, facts.group), (name, "")} & facts.case.asked)


def open_evidence(judgement: Judgement, facts: Facts) -> dict[str, float]:
    """Evidence that open rules read, with the number of (rule, act) pairs that hang on it; hazards count three times.

    An act that no answer can give back any more (a rule on it stays open whatever is asked) is not asked about.
    """
    open_acts = [a for a, v in judgement.acts.items() if v == OPEN and _within_reach(a, judgement, facts)]
    weights: dict[str, float] = {}
    for state in judgement.states:
        hangs = sum(1 for act in open_acts if state.acts[act] == OPEN)
        hazard = state.rule.handle == "hazard"
        if not open_acts and judgement.outcome == "discard-hazard" and hazard and state.clear == OPEN:
            hangs = 1
        if hangs:
            for name in _read_by(state, facts, open_acts):
                weights[name] = weights.get(name, 0) + hangs * (3 if hazard else 1)
    told_by = {n: e.implies for n, e in facts.knowledge.evidence.items() if n in weights and e.implies and askable(facts, n)}
    for name, implies in told_by.items():  # "10 minutes" also tells that they were boiled: one question for both
        weights[name] += sum(weights.get(implied, 0.0) for implied in implies) / len(told_by)
    for name in list(weights):  # a grouped question settles other facts with the same tap
        if askable(facts, name):
            also = {other for answer in facts.knowledge.evidence[name].answers.values() for other in answer.also}
            weights[name] += sum(weights.get(other, 0.0) for other in also if other != name)
    return weights


def _within_reach(act: str, judgement: Judgement, facts: Facts) -> bool:
    return all(_open_lines(s, facts) or _open_clocks(s, act, facts) for s in judgement.states if s.acts[act] == OPEN)


def _open_lines(state: RuleState, facts: Facts) -> list[str]:
    """Evidence that could still clear a rule: all open lines of one of its conditions can be asked about."""
    memory: dict[str, list[str]] = facts.notes.setdefault("open lines", {})  # type: ignore[assignment]
    if state.rule.id not in memory:
        memory[state.rule.id] = _to_clear(state.rule.clear_if, facts)
    return memory[state.rule.id]


def _to_clear(conditions: Iterable[Condition], facts: Facts) -> list[str]:
    found: list[str] = []
    for condition in conditions:
        lines = {name: facts.line(name, answers) for name, answers in condition.items()}
        if NO in lines.values():
            continue
        ways = [[n for n in leads_to(name, facts) if askable(facts, n)] for name, v in lines.items() if v == OPEN]
        if all(ways):
            found += [name for way in ways for name in way]
    return found


def _open_clocks(state: RuleState, act: str, facts: Facts) -> list[str]:
    """Evidence that could still show an act to be within the limits of a rule, or of an exception that gives it back."""
    found = _in_time(state.rule.leaves[act], facts) if act in state.rule.leaves else []
    for exception in facts.knowledge.exceptions.values():
        if exception.softens == state.rule.id and act in exception.leaves:
            holds, in_time = facts.any_holds(exception.if_), within(facts, exception.leaves[act])
            ways = [_to_clear(exception.if_, facts)] if holds == OPEN else []
            ways += [_in_time(exception.leaves[act], facts)] if in_time == OPEN else []
            if min(holds, in_time) == OPEN and all(ways):
                found += [name for way in ways for name in way]
    return found


def _in_time(limits: Limits, facts: Facts) -> list[str]:
    if any(facts.in_time(clock, limit) == NO for clock, limit in limits.items()):
        return []
    ways = [[n for n in leads_to(c, facts) if askable(facts, n)] for c, limit in limits.items() if facts.in_time(c, limit) == OPEN]
    return [name for way in ways for name in way] if ways and all(ways) else []


def _read_by(state: RuleState, facts: Facts, open_acts: Sequence[str]) -> Iterable[str]:
    found = dict.fromkeys(_open_lines(state, facts))
    if state.clear == NO or not found:
        for act in open_acts:
            found.update(dict.fromkeys(_open_clocks(state, act, facts)))
    return found


def leads_to(name: str, facts: Facts) -> tuple[str, ...]:
    """The evidence to ask about when a fact is open: itself, or what a computed fact or clock is worked out from."""
    memory: dict[str, tuple[str, ...]] = facts.notes.setdefault("leads", {})  # type: ignore[assignment]
    if name not in memory:
        memory[name] = _leads_to(name, facts)
    return memory[name]


def _leads_to(name: str, facts: Facts) -> tuple[str, ...]:
    if name in CLOCKS:
        return ("hours-since-process",) if name == "since" else BEHIND[name]
    if name == "acidity":
        return ("food", "product")
    if name == "minutes-enough":
        from bot.engine.heat import judge as judge_minutes

        return judge_minutes(facts).needs
    if name == "gel-point":
        return ("altitude", "thermometer-reading")
    if askable(facts, name):
        return (name,)
    return (name, *_behind(name, facts))


def _behind(name: str, facts: Facts) -> list[str]:
    """What settles evidence that is not asked itself: what its silence or its question depends on, or what implies it."""
    entry = facts.knowledge.evidence[name]
    if facts.known(name):
        return []
    conditions = entry.asked_if
    belief = facts.belief(name)
    if entry.silent is not None and (belief is None or not belief.cant_say):
        conditions += entry.silent.if_ + entry.silent.covered_by
    undecided = [c for c in conditions if facts.holds(c) == OPEN]
    names = [n for c in undecided for n, answers in c.items() if n in facts.knowledge.evidence and facts.line(n, answers) == OPEN]
    clocks = [n for c in undecided for n in c if n in CLOCKS]
    return [*names, *(("hours-since-process",) if clocks else ())]


def for_safety(judgements: Sequence[tuple[Judgement, Facts]]) -> Next | None:
    """The safety question with the most open acts behind it, cheapest first; one that can show a danger counts double."""
    best: tuple[float, Next] | None = None
    for judgement, facts in judgements:
        order = {name: n for n, name in enumerate(facts.knowledge.evidence)}
        if judgement.settled:
            continue
        for name, weight in open_evidence(judgement, facts).items():
            if not askable(facts, name):
                continue
            entry = facts.knowledge.evidence[name]
            # what is in the jars decides which of the other questions matter at all
            score = weight * (3 if entry.kind == "food" else 2 if entry.danger else 1) / entry.effort - order[name] * 1e-3
            if best is None or score > best[0]:
                best = (score, Next(name, facts.group if entry.of == "jars" else ""))
        if best is not None:
            return best[1]
    return None


def for_remedies(problem: Problem, facts: Facts, judgement: Judgement | None) -> Next | None:
    """The question that most fixes for this batch hang on, if at least two do: what to do matters more than why it happened."""
    counts: dict[str, int] = {}
    for fix in problem.fixes.values():
        if fix.act is not None and (judgement is None or judgement.acts[fix.act] == NO):
            continue
        if not fix.if_ or facts.any_holds(fix.if_) != OPEN:
            continue
        lines = {n for c in fix.if_ if facts.holds(c) == OPEN for n, answers in c.items() if facts.line(n, answers) == OPEN}
        for name in lines if len(lines) == 1 else ():
            counts[name] = counts.get(name, 0) + 1
    for name in sorted(counts, key=lambda n: (-counts[n], n)):
        if counts[name] >= 2 and name in facts.knowledge.evidence and askable(facts, name) and not _passed_over(facts, name):
            entry = facts.knowledge.evidence[name]
            if entry.effort == 1:
                return Next(name, facts.group if entry.of == "jars" else "")
    return None


def for_causes(problem: Problem, facts: Facts) -> Next | None:
    """The question that tells the leading causes apart best for its effort, if any answer could change what is told."""
    causes = applicable(problem, facts)
    names = sign_evidence(causes)
    seen = seen_of(facts, names)
    knowledge = facts.knowledge
    now = posterior(knowledge, causes, seen)
    leader = max(now, key=lambda k: now[k])
    if now[leader] >= SURE_ENOUGH or len(causes) < 2:
        return None
    best: tuple[float, str] | None = None
    for name in names:
        to_ask = next((n for n in leads_to(name, facts) if askable(facts, n)), None) if name in COMPUTED else name
        if name in seen or to_ask is None or not askable(facts, to_ask) or _passed_over(facts, to_ask):
            continue
        entry = knowledge.evidence[to_ask]
        answers = answers_of(knowledge, name)
        gain, changes = 0.0, False
        for answer in answers:
            chance = sum(
                now[c.id] * likelihood(knowledge, c, name, frozenset({answer})) for c in causes
            ) + now["something-else"] / len(answers)
            if chance <= 0:
                continue
            then = posterior(knowledge, causes, {**seen, name: Seen(frozenset({answer}))})
            gain += chance * (entropy(now) - entropy(then))
            new_leader = max(then, key=lambda k: then[k])
            changes = changes or (chance > 0.02 and (new_leader != leader or then[new_leader] >= SURE_ENOUGH))
        score = gain / entry.effort
        if changes and score >= WORTH_BITS and (best is None or score > best[0] + 1e-12):
            best = (score, to_ask)
    if best is None:
        return None
    entry = knowledge.evidence[best[1]]
    return Next(best[1], facts.group if entry.of == "jars" else "")


def choices(entry: Evidence, foods_offered: Sequence[str] = ()) -> tuple[str, ...]:
    """Button labels of a question, "Can't say" last."""
    labels = [a.label for a in entry.answers.values()] if entry.kind != "food" else list(foods_offered)
    return (*labels, "Can't say")
