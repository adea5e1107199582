"""Sentences written by somebody who knew the questions and their answers but no phrase: each is heard as the answer it tells."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from bot.engine.reader import Reader
from tests.conversation import engine
from tests.test_corpora import AFTER_THE_SEASON, STILL_WRONG

FILE = Path(__file__).parent / "stories" / "sentences.jsonl"
SENTENCES: list[dict[str, Any]] = [json.loads(line) for line in FILE.read_text("utf-8").splitlines()]
NOT_HEARD = set(STILL_WRONG["sentences"])


def heard(sentence: dict[str, Any], reader: Reader) -> bool:
    told = [o for o in reader.read(sentence["says"], AFTER_THE_SEASON).observations if o.evidence == sentence["evidence"]]
    return any(sentence["answer"] in o.answers and not o.denied for o in told)


@pytest.mark.parametrize("sentence", [pytest.param(each, id=f"{each['evidence']}-{n}") for n, each in enumerate(SENTENCES)])
def test_the_sentence_is_heard(sentence: dict[str, Any]) -> None:
    assert heard(sentence, engine().reader) == (sentence["says"] not in NOT_HEARD)
