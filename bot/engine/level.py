"""A measured drop of the level in a jar ("2 cm down in my pints") as an answer about the liquid that is lost, the cautious way."""

from __future__ import annotations

import re
from datetime import datetime
from fractions import Fraction
from typing import Any

from bot.engine.case import ALL, Case, Observation, fold
from bot.engine.facts import Facts
from bot.engine.figures.said import Place, concept, gap
from bot.engine.kitchen_tables import KitchenTables
from bot.engine.knowledge import Knowledge
from bot.engine.measures import ABOUT
from bot.engine.phrases import DOUBT, SUPPOSING
from bot.engine.quantities import Quantity, find_quantities
from bot.engine.reader import Reading
from bot.engine.words import NEGATORS, Word, normalise, split
from bot.kitchen.liquid_lost import HALF, JarShape, lost_from_jar
from bot.kitchen.span import NOTHING, Span, hull

LOST, LESS, MOST = "liquid-lost", "under-half", "half"
MM_PER_IN = Fraction(254, 10)
REACH = 24  # characters between a length and the words that make a drop of it
_SOME_LENGTH = re.compile(r"\bin\b|inch|[\"″”]|[cm]m\b|cms\b|metre|meter")
_MEASURES = frozenset("in cm mm".split())  # a jar that dropped 3 feet is another matter
_TALLEST_MM = Fraction(400)  # of what is put up in jars
_AS_FAR_AS = frozenset("to at within".split())  # "down to 2 inches" tells what is left


def with_drop(knowledge: Knowledge, reading: Reading, text: str, case: Case, now: datetime) -> Reading:
    """The reading with what a measured drop tells. A danger that was heard stays; what may be half is told with doubt, so that it is asked.

    A jar whose level may stand at the middle or lower counts as half, as it does when the question about the level is answered so; one
    whose pieces are said to lie below clear liquid counts as half as soon as the drop may be half of the liquid.
    """
    plain = normalise(text)
    if not _SOME_LENGTH.search(plain):
        return reading
    heard = [o for o in reading.observations if o.evidence == LOST]
    asked = case.question is not None and case.question[0] == LOST
    named = {*case.problems, *reading.problems}
    of_liquid = (
        bool(heard)
        or asked
        or any(LOST in knowledge.problems[each].implies for each in named if each in knowledge.problems)
    )
    drop = _drop(knowledge, plain, of_liquid)
    if drop is None or any(MOST in o.answers for o in heard):
        return reading
    answer, sure = _answer(knowledge, reading, case, drop, now)
    doubted = bool(DOUBT & {word.text for word in split(plain)})
    if not answer:
        return reading
    group = heard[0].group if heard else case.question[1] if asked and case.question else ALL
    certain = answer == MOST or ((sure or asked) and not doubted)
    says = knowledge.evidence[LOST].answers[answer].says
    seen = Observation(LOST, (answer,), group=group, certain=certain, replaces=asked, text=says)
    told = [seen if o.evidence == LOST else o for o in reading.observations]
    return reading._replace(
        observations=tuple(dict.fromkeys(told if heard else [*told, seen])),
        problems=_with_implied(knowledge, reading, answer) if not heard else reading.problems,
        answered=reading.answered or asked,
        unread=reading.unread and not asked,
    )


def pieces_in(facts: Facts, tables: KitchenTables) -> Span:
    """Share of a jar that pieces may fill below clear liquid: none in what is smooth, or where they stand through the whole jar."""
    smooth = frozenset(facts.knowledge.concepts.get("without-pieces", ()))
    if facts.known("product") and facts.possible("product") <= smooth:
        return NOTHING
    if facts.known("jar-layers") and not facts.possible("jar-layers") & {"sunk"}:
        return NOTHING
    return tables.pieces


def _answer(knowledge: Knowledge, reading: Reading, case: Case, drop: Span, now: datetime) -> tuple[str, bool]:
    """What the drop means, and whether that is sure; nothing when the jar is not known and no jar would lose half by it."""
    size = _jar_size(reading, case)
    plain: Any = knowledge.tables["plain"]
    tables, rows = KitchenTables(plain), plain["jar-shapes"]["rows"]
    mine = [shape for id_, shape in tables.jar_shapes.items() if rows[id_]["size"] == size]
    shapes: list[JarShape] = mine or list(tables.jar_shapes.values())
    even = hull(lost_from_jar(drop, shape, NOTHING) for shape in shapes)
    if even.lo >= HALF or (mine and even.hi >= HALF):
        return MOST, True
    if not mine:
        left_as_heard = even.hi < HALF and any(o.evidence == LOST for o in reading.observations)
        return ("", False) if left_as_heard else (LESS, False)
    told = fold([{"observations": [o.as_dict() for o in reading.observations]}], knowledge.evidence, case)
    facts = Facts(knowledge, told, now)
    if not facts.known("jar-layers") or "sunk" not in facts.possible("jar-layers"):
        return LESS, True
    at_most = hull(lost_from_jar(drop, shape, pieces_in(facts, tables)) for shape in mine)
    return (MOST, True) if at_most.hi >= HALF else (LESS, True)


def _jar_size(reading: Reading, case: Case) -> str:
    """The one size that was told, in this message or before; empty while there is none."""
    told = {
        o.answers
        for o in reading.observations
        if o.evidence == "jar-size" and o.certain and not o.denied and len(o.answers) == 1
    }
    if told:
        return next(iter(told))[0] if len(told) == 1 else ""
    belief = case.belief("jar-size")
    known = belief is not None and belief.certain and belief.possible is not None and len(belief.possible) == 1
    return next(iter(belief.possible)) if belief is not None and belief.possible is not None and known else ""


def _drop(knowledge: Knowledge, plain: str, of_liquid: bool) -> Span | None:
    """The longest length of a sentence that tells of a drop of the level, mm. `of_liquid`: that is spoken of already; else the sentence must name it."""
    lengths = [
        each for each in find_quantities(plain) if each.kind == "length" and each.unit in _MEASURES and each.hi > 0
    ]
    if not lengths:
        return None
    words, other = split(plain), concept(knowledge, "level-not", plain)
    lengths = [each for each in lengths if not _of_something_else(each, other, words)]
    sank = {place: _sentence(words, place.start) for place in concept(knowledge, "level-sank", plain)}
    level = {_sentence(words, place.start) for place in concept(knowledge, "level-word", plain)}
    found = set()  # sentences that tell a drop
    for each in lengths:
        here = _sentence(words, each.start)
        if (of_liquid or here in level) and any(at == here and gap(place, each) <= REACH for place, at in sank.items()):
            found.add(here)
    drops = [each for each in lengths if _sentence(words, each.start) in found]
    return millimetres(max(drops, key=lambda each: each.hi)) if drops else None


def _of_something_else(told: Quantity, other: list[Place], words: list[Word]) -> bool:
    """A length of headspace or of water over the lids, of what is left, or one that is denied or only supposed."""
    clause = _clause(words, told.start)
    denied = any(word.text in NEGATORS or word.text in SUPPOSING for word in words if word.clause == clause)
    return denied or any(_clause(words, place.start) == clause for place in other) or _before(words, told) in _AS_FAR_AS


def millimetres(told: Quantity) -> Span:
    """A length in mm; "about" leaves 15 % open on either side. No longer than anything that is put up in jars."""
    lo, hi = Fraction(told.lo) * MM_PER_IN, Fraction(told.hi) * MM_PER_IN
    if told.approx and lo == hi:
        lo, hi = lo * (1 - Fraction(ABOUT)), hi * (1 + Fraction(ABOUT))
    return Span(min(lo, _TALLEST_MM), min(hi, _TALLEST_MM))


def _clause(words: list[Word], at: int) -> int:
    return max((word.clause for word in words if word.start <= at), default=0)


def _sentence(words: list[Word], at: int) -> int:
    return max((word.sentence for word in words if word.start <= at), default=0)


def _before(words: list[Word], told: Quantity) -> str:
    return next((word.text for word in reversed(words) if word.end <= told.start), "")


def _with_implied(knowledge: Knowledge, reading: Reading, answer: str) -> dict[str, int]:
    """A problem of which the answer is a sign is named by it, as by words that tell it."""
    named = [each.id for each in knowledge.problems.values() if answer in each.implies.get(LOST, ())]
    return {**reading.problems, **{name: reading.problems.get(name, 0) + 2 for name in named}}
