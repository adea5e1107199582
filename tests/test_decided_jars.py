"""Jars that tell each rule from one with a mistake in it, and what is decided about them. Written by `python -m tests.mutation.witnesses`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.jars import Jar, allowed, judged
from tests.test_published_decisions import DATA, KNOWN

FILE = Path(__file__).parent / "engine" / "decided.jsonl"


def rows() -> list[dict[str, Any]]:
    return [json.loads(line) for line in FILE.read_text("utf-8").splitlines()] if FILE.exists() else []


def jar_of(row: dict[str, Any]) -> Jar:
    return {**DATA["sound"][row["jar"]], **row["told"]}


@pytest.mark.parametrize("row", [pytest.param(row, id=row["id"]) for row in rows()])
def test_the_jar_is_decided_as_before(row: dict[str, Any]) -> None:
    judgement = judged(jar_of(row), KNOWN)
    assert (judgement.outcome, allowed(judgement)) == (row["outcome"], row["acts"])
