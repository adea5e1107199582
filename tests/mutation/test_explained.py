"""What is explained away is a mistake that exists, and the proofs of likeness refuse a mistake that a test can tell."""

from __future__ import annotations

import pytest

from bot.engine.facts import Facts
from bot.engine.published import with_tables
from bot.library import load
from tests.jars import facts_of
from tests.mutation.__main__ import EXPLAINED
from tests.mutation.alike import decided_alike
from tests.mutation.mutants import of_rules
from tests.mutation.witnesses import decided
from tests.test_decided_jars import jar_of, rows

KNOWN = with_tables(load())
MUTANTS = {mutant.id: mutant for mutant in of_rules(KNOWN)}
TOLD_APART = [row for row in rows() if row["id"] in MUTANTS]


def test_every_explanation_is_of_a_mistake_that_can_be_made() -> None:
    assert set(EXPLAINED) - set(MUTANTS) == set()


def test_no_explained_mistake_is_told_apart_by_a_jar() -> None:
    assert set(EXPLAINED) & {row["id"] for row in TOLD_APART} == set()


@pytest.mark.parametrize("row", [pytest.param(row, id=row["id"]) for row in TOLD_APART[100::400]])
def test_a_mistake_that_a_jar_tells_apart_is_never_proved_to_change_nothing(row: dict[str, object]) -> None:
    mutant, facts = MUTANTS[str(row["id"])], facts_of(jar_of(row), KNOWN)
    assert decided(facts) != decided(Facts(mutant.knowledge, facts.case, facts.now))
    assert decided_alike(KNOWN, mutant) is None


def test_a_hazard_that_another_rule_names_too_is_proved_alike() -> None:
    found = decided_alike(KNOWN, MUTANTS["low-acid-in-a-bath: no longer a hazard"])
    assert found is not None and found[0] == ["low-acid-food-in-the-bin"]
