"""A second reader, written by somebody else, gives the same verdict as the engine. `python -m tests.engine.prove` has it read combinations and
random cases as well: with `--whole` all of the combinations, and 100,000 random cases."""

from __future__ import annotations

from pathlib import Path

import pytest

from bot.engine.case import ALL, Case, settle
from tests.engine import second_reader
from tests.engine.both_readers import differences, known
from tests.jars import SILENT, Jar, observation_of
from tests.test_decided_jars import jar_of as decided_jar
from tests.test_decided_jars import rows as decided_rows
from tests.test_published_decisions import ROWS, jar_of

MOST_LINES = 150


def case_of(jar: Jar) -> Case:
    evidence = known().evidence
    told = {name: observation_of(name, value, evidence[name].kind) for name, value in jar.items() if value != SILENT}
    return Case(beliefs={(name, ALL): settle(None, seen, evidence[name]) for name, seen in told.items()})


@pytest.mark.parametrize("jar", [*map(jar_of, ROWS), *map(decided_jar, decided_rows())], ids=lambda jar: "")
def test_both_read_every_published_row_and_every_decided_jar_alike(jar: Jar) -> None:
    assert differences(case_of(jar)) == ""


def test_the_second_reader_is_short_and_shares_no_code() -> None:
    text = Path(second_reader.__file__).read_text("utf-8")
    assert len(text.splitlines()) <= MOST_LINES
    assert "import bot" not in text and "from bot" not in text
