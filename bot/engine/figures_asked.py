"""When a message asks for a figure, and what the chat keeps of it: a question that lacked something, and how the last one was worked out."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING

from bot.engine import courtesies
from bot.engine.case import Case, Observation, fold
from bot.engine.emergency import OF_THE_PERSON
from bot.engine.figures import ASKS, work_out
from bot.engine.figures.amounts import names_a_measure
from bot.engine.knowledge import Asked
from bot.engine.quantities import find_quantities
from bot.engine.reader import Reading
from bot.engine.texts import MOST_WORDS, count_words
from bot.engine.understood import tell_danger
from bot.engine.wording import aside
from bot.engine.words import corrected, normalise

if TYPE_CHECKING:
    from bot.engine.turn import Engine, Outcome

CLEAR = 3  # weight of phrases from which a figure is taken to be asked for
UNFINISHED, WANTS, HOW, LAST = "figure-unfinished", "figure-wants", "figure-how", "figure-last"  # kept with the kitchen until the next message
SHORT = 12  # words: an answer to what was missing, not a new story
SEEN_ON_JARS = "jars"  # what evidence is of


def answer(engine: Engine, reading: Reading, case: Case, kitchen: Mapping[str, str], text: str, now: datetime) -> Outcome | None:
    """The figure that a message asks for, or that it completes; None when it does neither."""
    from bot.engine.turn import Outcome

    if _troubled(engine, reading) or _reports(engine, reading, text):
        return None
    told_before = _goes_on(engine, reading, kitchen, text)
    if told_before:
        whole, wanted = f"{told_before}\n{text}", engine.knowledge.evidence.get(kitchen.get(WANTS, ""))
        seen: tuple[Observation, ...] = ()
        for message in told_before.split("\n"):
            seen = _replaced(seen, engine.reader.read(message, now).observations)
        seen = _replaced(seen, engine.reader.read(text, now, wanted).observations)
        both = engine.reader.read(whole, now)._replace(observations=seen)
        return answer(engine, both, case, {**kitchen, UNFINISHED: "", LAST: ""}, whole, now)
    asked = _asked(engine, reading)
    if not asked or (reading.answered and case.question is not None):
        return None
    learnt = courtesies.learnt(reading, kitchen)
    knows = {**kitchen, **learnt}
    record = {"observations": [o.as_dict() for o in reading.observations]}
    remembered = courtesies.kitchen_turn(knows)
    of_this = fold([*([remembered] if remembered else []), record], engine.knowledge.evidence)
    plain, in_a_case = corrected(text, engine.reader.correct), bool(case.turns)
    tried = (work_out(each, engine.knowledge, plain, reading, of_this, knows, now, in_a_case) for each in asked)
    told = next((each for each in tried if each is not None), None)
    if told is None:
        return None
    source = courtesies.sources_words(engine, told.sources[:2]) if not told.wants else ""
    fits = count_words(f"{told.says} {source}") <= MOST_WORDS
    keeps = {UNFINISHED: text if told.wants else "", WANTS: told.wants, HOW: told.how, LAST: "" if told.wants else text}
    kept = {**learnt, **keeps} if told.of_this_kitchen else keeps
    return Outcome(aside(told.says + ("\n" + source if source and fits else "")), kitchen=kept)


def set_aside(engine: Engine, reading: Reading) -> Reading:
    """The reading without questions for figures: once it is no such question, nothing is said of it.

    Where it tells of a danger as well, no other question is answered either before the rules have spoken.
    """
    left = {id_: score for id_, score in reading.asked.items() if not engine.knowledge.asked[id_].figure}
    if len(left) == len(reading.asked):
        return reading
    return reading._replace(asked={} if _troubled(engine, reading) else left)


def done_with(kitchen: Mapping[str, str], outcome: Outcome) -> Outcome:
    """The same outcome; what was kept of a figure goes once the talk has moved on."""
    stale = {key: "" for key in (UNFINISHED, WANTS, HOW, LAST) if kitchen.get(key)}
    return outcome._replace(kitchen={**stale, **outcome.kitchen}) if stale else outcome


def _troubled(engine: Engine, reading: Reading) -> bool:
    """Whether a danger that is seen on jars, or an illness, is told beside: then the safety rules answer, whatever else is asked.

    How much liquid went is left to the figure: it says itself what half of it means.
    """
    evidence = engine.knowledge.evidence
    seen = [o for o in reading.observations if evidence[o.evidence].of == SEEN_ON_JARS and o.evidence != "liquid-lost"]
    ill = [o for o in reading.observations if o.evidence in OF_THE_PERSON]
    return tell_danger((*seen, *ill), evidence)


def _reports(engine: Engine, reading: Reading, text: str) -> bool:
    """Whether a message tells a story with a danger of the batch or a trouble in it, and asks nothing."""
    danger = tell_danger(reading.observations, engine.knowledge.evidence)
    trouble = max(reading.problems.values(), default=0) >= CLEAR
    asks = reading.asks or "?" in text or bool(ASKS & set(text.lower().split()))
    return (danger or trouble) and not asks and reading.words > SHORT


def _goes_on(engine: Engine, reading: Reading, kitchen: Mapping[str, str], text: str) -> str:
    """The messages that this one goes on with, a line each: a question that lacked something, or the one that was just answered."""
    if reading.words > SHORT or reading.problems or _asked(engine, reading):
        return ""
    if kitchen.get(UNFINISHED):
        return kitchen[UNFINISHED]
    return kitchen.get(LAST, "") if _follows_up(engine, reading, text) else ""


def _replaced(before: tuple[Observation, ...], later: tuple[Observation, ...]) -> tuple[Observation, ...]:
    """What the later message tells takes the place of what was told before: "and for quarts?"."""
    now_told = {o.evidence for o in later}
    return (*(o for o in before if o.evidence not in now_told), *later)


def _follows_up(engine: Engine, reading: Reading, text: str) -> bool:
    """ "And for quarts?": a few words with another figure or fact of the batch in it, and nothing that was seen on jars or when."""
    evidence = engine.knowledge.evidence
    begins = [each.split() for each in engine.knowledge.concepts.get("follows-up", ())]
    words = text.lower().split()
    of_the_batch = all(evidence[o.evidence].of != SEEN_ON_JARS and evidence[o.evidence].kind != "clock" for o in reading.observations)
    tells = bool(reading.observations) or bool(find_quantities(normalise(text))) or names_a_measure(engine.knowledge, normalise(text))
    return tells and of_the_batch and any(words[: len(each)] == each for each in begins)


def _asked(engine: Engine, reading: Reading) -> list[Asked]:
    """The figures that may be asked for, the likeliest first: one that declines leaves the message to the next."""
    scores = {id_: score for id_, score in reading.asked.items() if engine.knowledge.asked[id_].figure and score >= CLEAR}
    return [engine.knowledge.asked[id_] for id_ in sorted(scores, key=lambda each: -scores[each])]
