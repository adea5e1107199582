"""Every safety statement that publications print is served, left out with a reason, or a hole that is counted; no rule serves nothing."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import Any

import pytest
import yaml

from bot.library import load

FILE = Path(__file__).parent / "published" / "safety-statements.yaml"
ENTRIES: list[dict[str, Any]] = yaml.load(FILE.read_text("utf-8"), Loader=yaml.BaseLoader)
KNOWN = load()
RULES = {*KNOWN.rules, *KNOWN.exceptions}
KINDS: dict[str, Collection[str]] = {
    "asked": KNOWN.asked,
    "food": KNOWN.foods,
    "problem": KNOWN.problems,
    "reply": KNOWN.replies,
    "table": KNOWN.tables,
}
# A hole that was mended, or a new one that was found, changes this number.
HOLES = 27


def exists(served_by: str) -> bool:
    """Whether the knowledge has what an entry names; a bare name is a rule or an exception."""
    kind, colon, name = served_by.partition(":")
    if not colon:
        return served_by in RULES
    if kind == "evidence":
        evidence, _, answer = name.partition(":")
        return evidence in KNOWN.evidence and (not answer or answer in KNOWN.evidence[evidence].answers)
    return kind in KINDS and name in KINDS[kind]


def test_each_statement_stands_once() -> None:
    names = [entry["id"] for entry in ENTRIES]
    assert sorted(names) == sorted(set(names))


@pytest.mark.parametrize("entry", [pytest.param(entry, id=entry["id"]) for entry in ENTRIES])
def test_a_statement_has_its_source_and_is_served_or_left_out_or_a_hole(entry: dict[str, Any]) -> None:
    assert set(entry) <= {"id", "says", "source", "served_by", "left_out", "hole"}
    assert entry["says"]
    assert all(source.partition("#")[0] in KNOWN.sources and "#" in source for source in entry["source"].split("; "))
    assert entry.get("served_by") or entry.get("left_out") or entry.get("hole")
    assert all(entry.get(each, "a reason").strip() for each in ("left_out", "hole")), "a reason is told"


@pytest.mark.parametrize("entry", [pytest.param(entry, id=entry["id"]) for entry in ENTRIES if "served_by" in entry])
def test_what_serves_a_statement_exists(entry: dict[str, Any]) -> None:
    assert [each for each in entry["served_by"] if not exists(each)] == []


def test_every_rule_and_exception_serves_a_statement() -> None:
    served = {each for entry in ENTRIES for each in entry.get("served_by", [])}
    assert RULES - served == set()


def test_the_holes_are_counted() -> None:
    holes = [entry["id"] for entry in ENTRIES if "hole" in entry]
    assert len(holes) == HOLES, holes
