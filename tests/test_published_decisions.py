"""Decision tables of the publications, row by row: which acts are left for exactly these jars, and under which name."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from bot.engine.published import with_tables
from bot.library import load
from tests.jars import Jar, allowed, judged

FILE = Path(__file__).parent / "published" / "decisions.yaml"


class _Words(yaml.SafeLoader):
    """Numbers are numbers; every other scalar stays the word that stands there (`no` is no False)."""


_Words.yaml_implicit_resolvers = {
    first: [(tag, match) for tag, match in resolvers if tag in ("tag:yaml.org,2002:int", "tag:yaml.org,2002:float")]
    for first, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}
DATA: dict[str, Any] = yaml.load(FILE.read_text("utf-8"), Loader=_Words)
ROWS: list[dict[str, Any]] = DATA["rows"]
KNOWN = with_tables(load())


def jar_of(row: dict[str, Any]) -> Jar:
    return {**DATA["sound"][row["jar"]], **row.get("told", {})}


@pytest.mark.parametrize("name", DATA["sound"])
def test_a_sound_jar_has_an_outcome_of_its_own(name: str) -> None:
    assert judged(DATA["sound"][name], KNOWN).outcome in ("shelf-ok", "fridge-use-soon")


@pytest.mark.parametrize("row", [pytest.param(row, id=row["id"]) for row in ROWS])
def test_the_row_comes_out_as_printed(row: dict[str, Any]) -> None:
    judgement = judged(jar_of(row), KNOWN)
    assert (judgement.outcome, allowed(judgement)) == (row["outcome"], row["acts"])


def test_each_row_names_its_publication_and_stands_once() -> None:
    assert len({row["id"] for row in ROWS}) == len(ROWS)
    assert all("#" in row["source"] for row in ROWS)
