"""Causes of a problem in order: exact Bayes over words of strength.

Model: one cause is at work, or "something else". A cause has a prior from its how-common word. For each piece of evidence,
P(answer | cause) is proportional to the strength the cause gives that answer (1 where it says nothing), over the answers
the evidence has; the pieces are independent given the cause. "Can't say" tells nothing. An answer told with doubt counts
half: the mean of its likelihood and of knowing nothing.
"""

from collections.abc import Mapping, Sequence
from math import log2
from typing import NamedTuple

from bot.engine.facts import NO, OPEN, YES, Facts
from bot.engine.knowledge import COMPUTED, Cause, Knowledge, Problem

SOMETHING_ELSE = "something-else"  # its prior is that of one uncommon cause


class Seen(NamedTuple):
    """What is known of one piece of evidence for ranking: answers still possible, and whether it was told with doubt."""

    answers: frozenset[str]
    doubtful: bool = False


class Ranked(NamedTuple):
    """A cause with its chance and the evidence that speaks for it."""

    cause: Cause
    chance: float
    reasons: tuple[tuple[str, str], ...]  # (evidence, answer) that speak for it, strongest first


def answers_of(knowledge: Knowledge, evidence: str) -> tuple[str, ...]:
    """Every answer a piece of evidence or computed fact can have."""
    return COMPUTED[evidence] if evidence in COMPUTED else tuple(knowledge.evidence[evidence].answers)


def strength(knowledge: Knowledge, cause: Cause | None, evidence: str, answer: str) -> float:
    """Weight that a cause gives to an answer; 1 where it says nothing."""
    if cause is None:
        return 1.0
    for sign in cause.signs:
        if sign.evidence == evidence and answer in sign.answer:
            return knowledge.strengths[sign.speaks]
    return 1.0


def likelihood(knowledge: Knowledge, cause: Cause | None, evidence: str, answers: frozenset[str]) -> float:
    """P(one of these answers | cause)."""
    every = answers_of(knowledge, evidence)
    for sign in cause.signs if cause is not None else ():
        if sign.evidence == evidence:
            break
    else:
        return len(answers) / len(every)
    weights = {a: strength(knowledge, cause, evidence, a) for a in every}
    total = sum(weights.values())
    return sum(weights[a] for a in answers) / total if total else 1.0 / len(every)


def posterior(
    knowledge: Knowledge, causes: Sequence[Cause], seen: Mapping[str, Seen]
) -> dict[str, float]:
    """Chance of each cause and of something else; adds up to 1."""
    weights: dict[str, float] = {}
    for cause in (*causes, None):
        prior = knowledge.how_common[cause.how_common if cause else "uncommon"]
        for evidence, what in seen.items():
            given = likelihood(knowledge, cause, evidence, what.answers)
            if what.doubtful:
                given = (given + len(what.answers) / len(answers_of(knowledge, evidence))) / 2
            prior *= given
        weights[cause.id if cause else SOMETHING_ELSE] = prior
    total = sum(weights.values())
    if total == 0:
        return {name: 1.0 / len(weights) for name in weights}
    return {name: weight / total for name, weight in weights.items()}


def entropy(chances: Mapping[str, float]) -> float:
    """Bits still open."""
    return -sum(p * log2(p) for p in chances.values() if p > 0)


def applicable(problem: Problem, facts: Facts) -> list[Cause]:
    """Causes not ruled out by what they apply to."""
    return [c for c in problem.causes.values() if not c.applies or facts.any_holds(c.applies) != NO]


def sign_evidence(causes: Sequence[Cause]) -> list[str]:
    """Evidence that any of the causes speaks of, in the order of first mention."""
    return list(dict.fromkeys(sign.evidence for cause in causes for sign in cause.signs))


def seen_of(facts: Facts, evidence: Sequence[str]) -> dict[str, Seen]:
    """What the case says of these pieces of evidence, as far as it says anything."""
    from bot.engine.knowledge import COMPUTED

    seen: dict[str, Seen] = {}
    for name in evidence:
        if name in COMPUTED:
            possible = facts.possible(name)
            if len(possible) < len(COMPUTED[name]):
                seen[name] = Seen(possible)
            continue
        entry = facts.knowledge.evidence[name]
        belief = facts.belief(name)
        if entry.kind == "food" or belief is None or belief.cant_say:
            continue
        if entry.kind == "several":
            if belief.present:
                seen[name] = Seen(belief.present)
            elif belief.complete:
                seen[name] = Seen(frozenset({"none"}))
            continue
        if belief.possible is not None:
            seen[name] = Seen(belief.possible, not belief.certain)
        elif belief.lo is not None:
            cells = facts.cells(entry, belief)
            if cells and len(cells) < len(entry.answers):
                seen[name] = Seen(cells, not belief.certain)
    return seen


def rank(problem: Problem, facts: Facts) -> list[Ranked]:
    """Causes of one problem, most likely first, with the evidence that speaks for each."""
    knowledge = facts.knowledge
    causes = applicable(problem, facts)
    seen = seen_of(facts, sign_evidence(causes))
    chances = posterior(knowledge, causes, seen)
    ranked = [Ranked(c, chances[c.id], _reasons(knowledge, c, seen)) for c in causes]
    return sorted(ranked, key=lambda r: -r.chance)  # equals stay in the order of the file


def _reasons(knowledge: Knowledge, cause: Cause, seen: Mapping[str, Seen]) -> tuple[tuple[str, str], ...]:
    found: list[tuple[float, str, str]] = []
    for sign in cause.signs:
        if sign.evidence not in seen:
            continue
        what, weight = seen[sign.evidence], knowledge.strengths[sign.speaks]
        if weight > 1 and what.answers <= frozenset(sign.answer):
            found.append((weight, sign.evidence, min(what.answers)))
    found.sort(key=lambda f: -f[0])
    return tuple((evidence, answer) for _, evidence, answer in found)


__all__ = ["OPEN", "YES", "Ranked", "Seen", "applicable", "entropy", "likelihood", "posterior", "rank", "seen_of", "sign_evidence"]
