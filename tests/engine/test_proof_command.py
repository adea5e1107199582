"""The proof as a whole: what the benchmarks and the command `python -m tests.engine.prove` report of the safety rules."""

from __future__ import annotations

import pytest

from tests.engine import prove
from tests.engine.finding import Finding
from tests.engine.prove import properties
from tests.engine.tellings import rules


def test_each_of_the_seven_properties_is_proven_by_the_command() -> None:
    claims = [claim for claim, _, _ in properties()]
    assert {claim[0] for claim in claims} == set("1234567w")
    assert len(claims) == len(set(claims)) == len(list(properties(whole=True)))


@pytest.mark.parametrize(("broken", "code", "printed"), [((), 0, "holds\n"), (("a jar",), 1, "does not hold\n    a jar\n")])
def test_the_command_says_of_each_property_how_much_was_looked_at_and_what_does_not_hold(
    broken: tuple[str, ...], code: int, printed: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(prove, "properties", lambda whole: [("a claim", "jars", lambda: Finding(1234, broken))])
    assert prove.main([]) == code
    assert capsys.readouterr().out == f"{len(rules())} rules\na claim: 1,234 jars, {printed}"
