"""Property 6: every outcome can be reached, and nothing stands in the rules that decides no jar.

A witness is a jar of which everything is told, and which is judged otherwise when one thing is left out of the rules. It is
looked for among a few sound jars and those that differ from one of them in one or two facts that the rule reads.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from bot.engine.facts import YES, Facts
from bot.engine.knowledge import ACTS, Rule
from bot.engine.safety import OUTCOMES, RuleState, judge, look
from tests.engine.finding import Finding
from tests.engine.sound_jars import (
    Jar,
    changed,
    mended,
    names_read,
    parts_told,
    ruinous,
    sound_jars,
    told_anew,
    told_of_all,
)
from tests.engine.tellings import described, facts_of, knowledge, not_sure, rules
from tests.engine.without import LeftOut, left_out_of

OF_THE_VERDICT = frozenset(OUTCOMES) - {"quality-only"}  # a jar that is only spoilt in its looks is told from what else is known
FEW = 4  # sound jars that are changed in two facts
MENDS = 8  # jars of each kind of difference that are mended in all else


@cache
def witnesses() -> tuple[dict[str, str], tuple[str, ...]]:
    """By what is left out, the jar that shows it; and what has no witness."""
    found: dict[str, str] = {}
    missing: list[str] = []
    for rule in rules():
        shown, unseen = witnesses_of(rule)
        found |= shown
        missing += unseen
    return found, tuple(missing)


def undecided_by() -> Finding:
    """How much was left out in turn, and what of it changes nothing in any jar that was looked at."""
    found, missing = witnesses()
    return Finding(len(found) + len(missing), missing)


def witnesses_of(rule: Rule) -> tuple[dict[str, str], list[str]]:
    """Of one rule, what is shown by which jar, and what is not shown by any."""
    pending = list(left_out_of(rule))
    found: dict[str, str] = {}
    for jar in _neighbours(rule):
        _show(rule, jar, pending, found)
        if not pending:
            return found, []
    mends: dict[tuple[object, ...], int] = {}
    for jar in told_anew(rule.id):
        _show(rule, jar, pending, found)
        was = look(rule, jar.facts)
        for each in [one for one in pending if _differs(was, one, jar)]:
            key = (each.words, was.clear, *was.acts.values())
            mends[key] = mends.get(key, 0) + 1
            if mends[key] <= MENDS:
                _show(rule, mended(jar, frozenset(names_read(rule.id))), pending, found)
                for ruin in ruinous() if rule.handle == "hazard" and each in pending else ():
                    _show(rule, jar if ruin.name in names_read(rule.id) else jar.with_(ruin), pending, found)
        if not pending:
            break
    return found, [each.words for each in pending]


def _neighbours(rule: Rule) -> Iterator[Jar]:
    """Sound jars, then those with one change, then a few with two: of sound jars that look alike to the rule only the first."""
    apart: dict[object, Jar] = {}
    for jar in sound_jars():
        lines = tuple(jar.facts.line(*line) for part in parts_told(rule.id) for line in part.lines)
        apart.setdefault(lines, jar)
    for many in (0, 1, 2):
        for jar in list(apart.values())[: None if many < 2 else FEW]:
            yield from changed(jar, rule.id, many)


def _show(rule: Rule, jar: Jar, pending: list[LeftOut], found: dict[str, str]) -> None:
    """Note for what the jar is a witness."""
    was = look(rule, jar.facts)
    for each in [one for one in pending if _differs(was, one, jar)]:
        now = _look_without(each, jar)
        if _matters(was, now, jar) and judged(jar.facts) != judged(facts_of(jar.told.values(), each.knowledge)):
            found[each.words] = described(jar.told.values())
            pending.remove(each)


def _differs(was: RuleState, without: LeftOut, jar: Jar) -> bool:
    """Whether the rule itself makes something else of the jar without it: this costs less than to judge the jar."""
    now = _look_without(without, jar)
    return was.clear != YES if now is None else (now.clear, now.acts) != (was.clear, was.acts)


def _look_without(without: LeftOut, jar: Jar) -> RuleState | None:
    """What the rule makes of the jar without it; None when the rule itself is left out."""
    if without.rule is None:
        return None
    changed_exceptions = without.knowledge.exceptions is not knowledge().exceptions
    return look(without.rule, facts_of(jar.told.values(), without.knowledge) if changed_exceptions else jar.facts)


def _matters(was: RuleState, now: RuleState | None, jar: Jar) -> bool:
    """Whether any act, or how what is left is handled, can hang on this rule, as the others stand."""
    others = [state for rule_id, state in jar.states.items() if rule_id != was.rule.id]
    for act in ACTS:
        left = min(state.acts[act] for state in others)
        if min(left, was.acts[act]) != min(left, YES if now is None else now.acts[act]):
            return True
    handled = any(state.rule.handle == "hazard" and state.clear != YES for state in others)
    return was.rule.handle == "hazard" and not handled and not any(jar.acts)


def judged(facts: Facts) -> tuple[str, dict[str, int]]:
    """The outcome, and what may be done."""
    judgement = judge(facts)
    return judgement.outcome, judgement.acts


@cache
def reached() -> dict[str, str]:
    """By outcome, the first jar that comes to it: sound, changed in one fact, or with one fact open."""
    found: dict[str, str] = {}
    for jar in _first_jars():
        found.setdefault(judge(jar.facts).outcome, described(jar.told.values()))
        if found.keys() >= OF_THE_VERDICT:
            break
    return found


def _first_jars() -> Iterator[Jar]:
    yield from sound_jars()
    jar = sound_jars()[0]
    yield from (jar.with_(not_sure(name)) for name in told_of_all())
    for many in (1, 2):
        for rule in rules():
            yield from changed(jar, rule.id, many)
