"""Every condition in the module that gives the verdict comes out true and false, each operand by itself, in evaluations that the
proofs and the published rows make as well."""

from __future__ import annotations

from types import ModuleType

from bot.engine import safety
from bot.engine.facts import Facts
from tests import jars
from tests.engine.conditions import watched, watched_file
from tests.engine.tellings import rules
from tests.engine.test_branches import SOURCE, evaluate, evaluated
from tests.test_published_decisions import KNOWN, ROWS, jar_of

# condition -> why it comes out one way only
ONE_SIDED: dict[str, str] = {}


def all_of(module: ModuleType, facts: Facts) -> tuple[str, list[bool]]:
    """All that the public functions of the module make of these facts, and which rules may yet be softened."""
    return evaluate(module, facts), [module.may_be_softened(rule, facts) for rule in rules()]


def test_every_condition_of_the_verdict_comes_out_both_ways() -> None:
    every = [*evaluated(), *(jars.facts_of(jar_of(row), KNOWN) for row in ROWS)]
    copy = watched_file(SOURCE)
    assert [all_of(copy.module, facts) for facts in every] == [all_of(safety, facts) for facts in every]
    assert len(copy.conditions) > 30
    assert copy.one_sided.keys() == ONE_SIDED.keys(), copy.one_sided


SMALL = """
def few(numbers, limit=None):
    if not numbers or (limit and len(numbers) > limit):
        return []
    return [n for n in numbers if n != 3 and n < 9] if limit is None else numbers or [0]
"""


def test_a_condition_that_came_out_one_way_is_named() -> None:
    copy = watched(SMALL, "small")
    assert [each.words for each in copy.conditions] == [
        "few: numbers", "few: limit", "few: len(numbers) > limit", "few: limit is None", "few: n != 3", "few: n < 9", "few: numbers",
    ]  # fmt: skip
    assert copy.module.few([1, 3]) == [1]
    assert copy.one_sided == {
        "few: numbers": set(), "few: limit": {False}, "few: len(numbers) > limit": set(), "few: limit is None": {True}, "few: n < 9": {True},
    }  # fmt: skip
    assert copy.module.few([]) == [] and copy.module.few([1, 2], 1) == [] and copy.module.few([9], 4) == [9] and copy.module.few([10]) == []
    assert copy.one_sided == {"few: numbers": {True}}
