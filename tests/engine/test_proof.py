"""The seven properties hold over every combination, and README.md says how many were looked at."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.engine.finding import Finding
from tests.engine.prove import properties, told
from tests.engine.tellings import rules
from tests.house.readme_blocks import README

PAGE = README.read_text("utf-8").splitlines()
PROPERTIES = [pytest.param(*each, id=each[0]) for each in properties()]


def test_the_readme_counts_the_rules() -> None:
    assert f"{len(rules())} rules" in PAGE


@pytest.mark.parametrize(("claim", "counted", "prove"), PROPERTIES)
def test_the_property_holds_and_the_readme_counts_what_was_looked_at(claim: str, counted: str, prove: Callable[[], Finding]) -> None:
    found = prove()
    assert not found.broken, "\n".join(found.broken)
    assert told(claim, counted, found) in PAGE
