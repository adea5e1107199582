"""When a message asks for a figure, and what the chat keeps of it: a question that lacked something, and how the last one was worked out."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING

from bot.engine import courtesies
from bot.engine.case import Case, fold
from bot.engine.figures import work_out
from bot.engine.knowledge import Asked
from bot.engine.reader import Reading
from bot.engine.texts import MOST_WORDS, count_words
from bot.engine.wording import aside

if TYPE_CHECKING:
    from bot.engine.turn import Engine, Outcome

CLEAR = 3  # weight of phrases from which a figure is taken to be asked for
UNFINISHED, WANTS, HOW = "figure-unfinished", "figure-wants", "figure-how"  # kept with the kitchen until the next message
SHORT = 12  # words: a question, or an answer to what was missing, not a story


def answer(engine: Engine, reading: Reading, case: Case, kitchen: Mapping[str, str], text: str, now: datetime) -> Outcome | None:
    """The figure that a message asks for, or that it completes; None when it does neither."""
    from bot.engine.turn import Outcome

    unfinished = kitchen.get(UNFINISHED, "")
    if unfinished and reading.words <= SHORT and not _asked(engine, reading) and not reading.problems:
        whole = f"{unfinished}. {text}"
        wanted = engine.knowledge.evidence.get(kitchen.get(WANTS, ""))
        said = engine.reader.read(text, now, wanted).observations if wanted is not None else ()
        both = engine.reader.read(whole, now)
        return answer(engine, both._replace(observations=(*both.observations, *said)), case, {**kitchen, UNFINISHED: ""}, whole, now)
    asked = _asked(engine, reading)
    if asked is None or (reading.answered and case.question is not None) or _reports(engine, reading, text):
        return None
    learnt = courtesies.learnt(reading, kitchen)
    knows = {**kitchen, **learnt}
    record = {"observations": [o.as_dict() for o in reading.observations]}
    before = courtesies.kitchen_turn(knows)
    of_this = fold([*([before] if before else []), record], engine.knowledge.evidence)
    told = work_out(asked, engine.knowledge, text, reading, of_this, knows, now)
    source = courtesies.sources_words(engine, told.sources[:2]) if not told.wants else ""
    fits = count_words(told.says + source) <= MOST_WORDS
    keeps = {UNFINISHED: text if told.wants else "", WANTS: told.wants, HOW: told.how}
    return Outcome(aside(told.says + ("\n" + source if source and fits else "")), kitchen={**learnt, **keeps})


def done_with(kitchen: Mapping[str, str], outcome: Outcome) -> Outcome:
    """The same outcome; what was kept of a figure goes once the talk has moved on."""
    stale = {key: "" for key in (UNFINISHED, WANTS, HOW) if kitchen.get(key)}
    return outcome._replace(kitchen={**stale, **outcome.kitchen}) if stale else outcome


def _reports(engine: Engine, reading: Reading, text: str) -> bool:
    """Whether a message tells of trouble, or tells a story: then it is for the rules, whatever figure it names."""
    danger = any(set(o.answers) & set(engine.knowledge.evidence[o.evidence].danger) for o in reading.observations if not o.denied)
    trouble = max(reading.problems.values(), default=0) >= CLEAR
    return danger or not (reading.asks or (("?" in text or reading.words <= SHORT) and not trouble))


def _asked(engine: Engine, reading: Reading) -> Asked | None:
    scores = {id_: score for id_, score in reading.asked.items() if engine.knowledge.asked[id_].figure and score >= CLEAR}
    return engine.knowledge.asked[max(scores, key=lambda each: scores[each])] if scores else None
