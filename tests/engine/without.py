"""The rules with one thing left out: a rule, a condition, a line of a condition, an act it leaves; and the same of an exception."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from bot.engine.knowledge import Condition, Knowledge, Rule, RuleException
from tests.engine.reach import softening
from tests.engine.tellings import knowledge, rules


@dataclass(frozen=True)
class LeftOut:
    """What is left out of which rule, and the knowledge without it."""

    words: str
    rule_id: str
    knowledge: Knowledge

    @property
    def rule(self) -> Rule | None:
        """The rule as it is now; None when it is gone."""
        return self.knowledge.rules.get(self.rule_id)


def left_out_of(rule: Rule) -> Iterator[LeftOut]:
    """All that can be left out of a rule and of the exceptions that soften it, one thing at a time."""
    without = {id_: each for id_, each in knowledge().rules.items() if id_ != rule.id}
    yield LeftOut(f"rule {rule.id}", rule.id, knowledge()._replace(rules=without))
    for words, conditions in _fewer(rule.clear_if):
        yield _with_rule(f"{rule.id}, {words}", rule._replace(clear_if=conditions))
    for act in rule.leaves:
        yield _with_rule(f"{rule.id}, act {act}", rule._replace(leaves={each: limits for each, limits in rule.leaves.items() if each != act}))
    for exception in softening(rule):
        less = {id_: each for id_, each in knowledge().exceptions.items() if id_ != exception.id}
        yield LeftOut(f"exception {exception.id}", rule.id, knowledge()._replace(exceptions=less))
        for words, conditions in _fewer(exception.if_):
            yield _with_exception(f"exception {exception.id}, {words}", exception._replace(if_=conditions))
        for act in exception.leaves if len(exception.leaves) > 1 else ():
            leaves = {each: limits for each, limits in exception.leaves.items() if each != act}
            yield _with_exception(f"exception {exception.id}, act {act}", exception._replace(leaves=leaves))


def everything_left_out() -> list[LeftOut]:
    """Over all rules."""
    return [each for rule in rules() for each in left_out_of(rule)]


def _fewer(conditions: tuple[Condition, ...]) -> Iterator[tuple[str, tuple[Condition, ...]]]:
    """Without one of several conditions, which is stricter; and without one of several lines in a condition, which is milder.
    The only condition, or its only line, cannot go by itself: without it there is no rule."""
    for n, condition in enumerate(conditions):
        rest = (*conditions[:n], *conditions[n + 1 :])
        if rest:
            yield f"condition {_words(condition)}", rest
        for line in condition if len(condition) > 1 else ():
            shorter = {name: answers for name, answers in condition.items() if name != line}
            yield f"line {line} of {_words(condition)}", (*conditions[:n], shorter, *conditions[n + 1 :])


def _words(condition: Condition) -> str:
    return "{" + ", ".join(f"{name}: {_answers(answers)}" for name, answers in condition.items()) + "}"


def _answers(answers: tuple[str, ...]) -> str:
    return "/".join(answers) if len(answers) < 5 else f"{'/'.join(answers[:3])}/... ({len(answers)})"


def _with_rule(words: str, rule: Rule) -> LeftOut:
    return LeftOut(words, rule.id, knowledge()._replace(rules=knowledge().rules | {rule.id: rule}))


def _with_exception(words: str, exception: RuleException) -> LeftOut:
    known = knowledge()._replace(exceptions=knowledge().exceptions | {exception.id: exception})
    return LeftOut(words, exception.softens, known)
