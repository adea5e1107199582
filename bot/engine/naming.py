"""How groups of jars, foods and facts are spoken of: "the one that did not seal", "strawberry jam, 14 h ago"."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from bot.engine.case import ALL, SOME, Case, Observation
from bot.engine.facts import HOUR, Facts
from bot.engine.knowledge import Knowledge
from bot.engine.reply import Heard
from bot.engine.sums import number_word


def jars(case: Case, group: str, text: Callable[..., str]) -> str:
    """The name of a group of jars; `text` fetches a fixed sentence by id."""
    if group == ALL:
        return text("jars-all")
    if group == SOME:
        n = case.some or 1
        special = f"jars-{'one' if n == 1 else 'some'}-{case.apart}"
        return text(special if text.knows(special) else f"jars-{'one' if n == 1 else 'some'}", n=number_word(n))  # type: ignore[attr-defined]
    if case.whole and case.some:
        left = case.whole - case.some
        return text("jars-rest-one" if left == 1 else "jars-rest-count", n=number_word(left))
    return text("jars-rest")


def food_and_product(facts: Facts) -> str:
    """ "strawberry jam", as far as it is known."""
    knowledge = facts.knowledge
    belief = facts.belief("food")
    ids = [f for f in knowledge.foods if belief is not None and f in belief.present]
    foods = [knowledge.foods[f] for f in ids]
    product = facts.possible("product")
    says = knowledge.evidence["product"].answers[next(iter(product))].says if len(product) == 1 else ""
    names = " and ".join(f.name for f in foods)
    if not names:
        return says
    if any(f.product for f in foods) or not says or facts.knowledge.evidence["product"].answers[next(iter(product))].says in names:
        return names
    if says in ("jam", "jelly", "marmalade"):
        return f"{' and '.join(_one(f.words[0]) for f in foods)} {says}"
    return f"{names}, {says}"


def _one(word: str) -> str:
    return word


def ago(facts: Facts) -> str:
    """ "14 h ago" from the earliest reading; empty when no time was told."""
    ended = facts.processed_at()
    if ended is None:
        return ""
    from bot.engine.moments import span_words

    hours = (facts.now.timestamp() - ended[0].timestamp()) / HOUR
    if hours > 20 * 365 * 24 / 2:
        return ""
    return f"{span_words(facts.now - ended[0])} ago"


def told(facts: Facts, observations: Iterable[Observation] | None, knowledge: Knowledge) -> list[str]:
    """Short words for what the case (or one message) says, in the knowledge's own order, food and time first."""
    case = facts.case
    names = {o.evidence for o in observations} if observations is not None else {e for e, _ in case.beliefs}
    parts: list[str] = []
    if names & {"food", "product"}:
        both = food_and_product(facts)
        if both:
            parts.append(both)
    if "hours-since-process" in names and ago(facts):
        parts.append(ago(facts))
    if case.apart and case.apart in names:
        entry = knowledge.evidence[case.apart]
        belief = case.belief(case.apart, SOME)
        answer = next(iter(belief.possible or belief.present or ()), None) if belief else None
        if answer:
            count = f"{number_word(case.some or 1)}{f' of {number_word(case.whole)}' if case.whole else ''}"
            parts.append(f"{count} with {entry.answers[answer].says}")
    for entry in knowledge.evidence.values():
        if entry.id not in names or entry.id in ("food", "product", "hours-since-process", "stage", case.apart):
            continue
        belief = facts.belief(entry.id)
        if belief is None or not belief.said:
            continue
        says = belief.text if belief.lo is not None else _says(facts, entry.id) or belief.text
        if says:
            parts.append(says if belief.certain else f"maybe {says}")
    return parts


def _says(facts: Facts, evidence: str) -> str:
    entry = facts.knowledge.evidence[evidence]
    belief = facts.belief(evidence)
    assert belief is not None
    ids = belief.present or belief.possible or frozenset()
    if entry.kind == "several" and belief.complete and not belief.present:
        ids = frozenset({"none"}) & frozenset(entry.answers)
    if len(ids) > 2:
        return ""
    return " or ".join(entry.answers[a].says for a in entry.answers if a in ids)


def heard_as(seen: Observation, facts: Facts) -> Heard:
    """An observation as the reply tells it to programs: the evidence, the answer or figure with its unit, and whether it is certain."""
    if seen.lo is not None and seen.hi is not None:
        entry = facts.knowledge.evidence[seen.evidence]
        if entry.kind == "clock":
            now = facts.now.timestamp()
            lo, hi = (now - seen.hi) / 3600, (now - seen.lo) / 3600
            answer = f"{lo:.1f} h" if abs(hi - lo) < 0.05 else f"{lo:.1f} to {hi:.1f} h"
        else:
            unit = {"minutes": " minutes", "altitude": " ft", "temperature": " F", "percent": " %", "length": " in"}.get(entry.kind, "")
            answer = f"{seen.lo:g}{unit}" if seen.lo == seen.hi else f"{seen.lo:g} to {seen.hi:g}{unit}"
        return Heard(seen.evidence, answer, seen.certain)
    return Heard(seen.evidence, ("not " if seen.denied else "") + ", ".join(seen.answers), seen.certain)
