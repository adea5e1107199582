"""Gives numbers and times in a message to the evidence they belong to: by unit first, then by the words around them."""

from __future__ import annotations

import re
from datetime import datetime

from bot.engine.case import Observation
from bot.engine.knowledge import Evidence, Knowledge
from bot.engine.moments import find_moments
from bot.engine.phrases import Hit
from bot.engine.quantities import Quantity, find_quantities, resolve_temperature
from bot.engine.times import times
from bot.engine.words import Word
from bot.kitchen.units import c_to_f

ABOUT = 0.15  # what "about" leaves open on either side of a figure; a convention
_DOUBTED = re.compile(r"\s*(?:\?|ish|or so|or thereabouts|maybe|i think|give or take)")
_DENIED = re.compile(r"(?:\bnot|n't|\bisnt|\bwasnt|\bnever) $")
_STANDS_IN = re.compile(r"\b(?:instead of|in place of|in lieu of|rather than) (?:the |a |an |my |plain )?$")
_AT_START = re.compile(r"\b(?:into|in|with) (?:the |hot |warm |hand-warm |tepid )*(?:water|bath|canner|pot) (?:at|of) (?:about |around )?$")
_AT_MOST = re.compile(r"\s*(?:%|percent|per cent|minutes?|mins?)?\s*(?:or|and) (?:less|under|below|lower|weaker|so at most)\b")
_TAKES_BACK = re.compile(r"\b(?:actually|correction|no wait|wait no|sorry|rather|i mean|i meant|oops|or was it|make that)\b[^.;!?]*$")
_MAY_BE = re.compile(r"\b(?:could|might|may)(?: have|'ve)? (?:be|been) (?:about |around |some )?$")
_SERIES = re.compile(r"(?<![\d.,/])(?:\d{2,3}(?:\.\d)?\s*(?:°\s*)?([fc])?\b(?:\s*(?:,|;|/|and|then|and then)\s*|\s+)){2,}\d{2,3}(?:\.\d)?(?:\s*(?:°|degrees|deg)?\s*([fc])\b)?(?![\d%])")
_FAHRENHEIT, _CELSIUS = (140.0, 250.0), (60.0, 115.0)  # between which all of a series of readings must lie
REACH = 60  # characters between a number and the words that claim it
_KINDS = {
    "minutes": "minutes", "hours": "hours", "days": "days", "temperature": "temperature", "percent": "percent",
    "temperature-unknown": "temperature", "altitude": "altitude", "length": "length", "count": "count",
}  # fmt: skip
_METRIC = re.compile(r"\d\s*(?:°\s?c|c|celsius|ml|cm|mm|kg|g|grams?|litres?|m|metres?)\b")
_US = re.compile(r"\d\s*(?:°\s?f|f|fahrenheit|oz|lbs?|ft|feet|foot|inch(?:es)?|in|quarts?|qts?|cups?)\b")


def units_of(plain: str) -> str:
    """ "metric" or "US" when the numbers of a message show which one the person thinks in, else ""."""
    metric, us = len(_METRIC.findall(plain)), len(_US.findall(plain))
    return "metric" if metric > us else "US" if us > metric else ""


def measured(
    knowledge: Knowledge,
    plain: str,
    words: list[Word],
    hits: list[Hit],
    now: datetime,
    question: Evidence | None,
    told: frozenset[str] = frozenset(),
    corrects: bool = False,
) -> list[Observation]:
    """Observations of number and clock evidence in a message sent at `now`.

    `told`: the evidence the case has an answer to; `corrects`: the message takes something back, "sorry, 5 % not 4 %".
    """
    heard = {(h.owner[1], h.owner[2]) for h in hits if h.owner[0] == "answer" and not h.denied}
    near = [(h.owner[1], words[h.first].start, words[h.last - 1].end) for h in hits if h.owner[0] == "near"]
    moments = find_moments(plain, now)
    taken = [(m.start, m.end) for m in moments]
    found: list[Observation] = []
    numbers = [q for q in find_quantities(plain) if not any(q.start < end and start < q.end for start, end in taken)]
    numbers = [q for q in numbers if not _DENIED.search(plain, max(0, q.start - 8), q.start) and not _STANDS_IN.search(plain, max(0, q.start - 22), q.start)]
    numbers = [q for q in numbers if q.kind != "temperature" or not _AT_START.search(plain, max(0, q.start - 40), q.start)]  # how it began, not how it was
    numbers = _series_with_units(numbers, plain)
    lone = len(words) <= 12
    for quantity in numbers:
        kind = _KINDS.get(quantity.kind, "")
        mine = [each for each in near if knowledge.evidence[each[0]].safety or not _closer(quantity, numbers, each)]
        claim = _meant_by_the_rest(knowledge, kind, heard) or _claimed(knowledge, kind, quantity.start, quantity.end, mine, question, lone, plain)
        if claim is None and corrects:
            of_kind = [e for e in knowledge.evidence.values() if e.kind == kind and e.id in told]
            claim = of_kind[0] if len(of_kind) == 1 else None
        if claim is not None:
            seen = _number(claim, quantity, plain)
            if seen is not None:
                if _MAY_BE.search(plain, max(0, quantity.start - 30), quantity.start):
                    seen = seen._replace(certain=False)
                found.append(seen if not corrects else seen._replace(replaces=True, corrects=True))
    found = _one_reading([*found, *_second_thoughts(found, numbers, plain, knowledge)], knowledge)
    found += times(knowledge, moments, numbers, near, words, now, question, plain, told)
    if question is not None and not any(o.evidence == question.id for o in found):
        found += _bare(question, plain, numbers)
    return found


def _closer(mine: Quantity, numbers: list[Quantity], near: tuple[str, int, int]) -> bool:
    """Whether another temperature stands closer to these words: "it reads 216, and 212 in boiling water"."""
    _, first, last = near
    away = {each: max(first - each.end, each.start - last, 0) for each in numbers if _KINDS.get(each.kind) == "temperature" == _KINDS.get(mine.kind)}
    return mine in away and min(away.values()) < away[mine]


def _series_with_units(numbers: list[Quantity], plain: str) -> list[Quantity]:
    """Readings written one after the other all have the unit of the last: "180, 181, 178, 174 F"."""
    for match in _SERIES.finditer(plain):
        told = [(float(n.group()), match.start() + n.start(), match.start() + n.end()) for n in re.finditer(r"\d+(?:\.\d)?", match.group())]
        values = [n for n, _, _ in told]
        unit = match.group(2) or match.group(1) or ("f" if _all_in(values, _FAHRENHEIT) else "c" if _all_in(values, _CELSIUS) else "")
        if unit and _all_in(values, _FAHRENHEIT if unit == "f" else _CELSIUS):
            rest = [q for q in numbers if q.end <= match.start() or q.start >= match.end()]
            degrees = [(n if unit == "f" else c_to_f(n), start, end) for n, start, end in told]
            numbers = [*rest, *(Quantity("temperature", f, f, unit, False, start, end) for f, start, end in degrees)]
    return numbers


def _all_in(numbers: list[float], span: tuple[float, float]) -> bool:
    return all(span[0] <= n <= span[1] for n in numbers)


def _meant_by_the_rest(knowledge: Knowledge, kind: str, heard: set[tuple[str, str]]) -> Evidence | None:
    """A number of whose kind one evidence is asked only after what this message says: degrees, when the 180 °F bath is spoken of."""
    fits = [
        e for e in knowledge.evidence.values()
        if e.kind == kind and any(all(set(answers) & {a for n, a in heard if n == name} for name, answers in c.items()) for c in e.asked_if)
    ]  # fmt: skip
    return fits[0] if len(fits) == 1 and kind == "temperature" and fits[0].safety else None


def _one_reading(found: list[Observation], knowledge: Knowledge) -> list[Observation]:
    """Two different figures for one safety fact in one message ("it is thirty, not ten"): neither is taken, so that it is asked."""
    figures: dict[str, set[tuple[float | None, float | None]]] = {}
    found = _spans_of_degrees(found, knowledge)
    for seen in found:
        figures.setdefault(seen.evidence, set()).add((seen.lo, seen.hi))
    return [o for o in found if not knowledge.evidence[o.evidence].safety or len(figures[o.evidence]) == 1]


def _spans_of_degrees(found: list[Observation], knowledge: Knowledge) -> list[Observation]:
    """Several readings of one thermometer are one span: "lowest 181 F, highest 185 F"."""
    degrees = {o.evidence for o in found if knowledge.evidence[o.evidence].kind == "temperature" and knowledge.evidence[o.evidence].safety}
    spans: list[Observation] = []
    for name in sorted(degrees):
        mine = [o for o in found if o.evidence == name and o.lo is not None and o.hi is not None]
        bad = [o for o in mine if _in_danger(o, knowledge.evidence[name])]
        mine = bad or mine  # one reading in the danger is enough, whatever the others were
        if mine:
            lo, hi = min(o.lo or 0.0 for o in mine), max(o.hi or 0.0 for o in mine)
            spans.append(mine[0]._replace(lo=lo, hi=hi, certain=all(o.certain for o in mine)))
    return [*(o for o in found if o.evidence not in degrees), *spans]


def _in_danger(seen: Observation, entry: Evidence) -> bool:
    cells = [entry.answers[each] for each in entry.danger]
    return any((c.from_ is None or c.from_ <= (seen.lo or 0.0)) and (c.to is None or (seen.hi or 0.0) < c.to) for c in cells)


def _second_thoughts(found: list[Observation], numbers: list[Quantity], plain: str, knowledge: Knowledge) -> list[Observation]:
    """A figure that takes back one given in the same message: "10 minutes in the bath ... actually only 4 minutes"."""
    told = {knowledge.evidence[o.evidence].kind: knowledge.evidence[o.evidence] for o in found}
    again = []
    for quantity in numbers:
        entry = told.get(_KINDS.get(quantity.kind, ""))
        if entry is not None and _TAKES_BACK.search(plain, max(0, quantity.start - 30), quantity.start):
            seen = _number(entry, quantity, plain)
            again += [seen] if seen is not None else []
    return again


def _claimed(
    knowledge: Knowledge,
    kind: str,
    start: int,
    end: int,
    near: list[tuple[str, int, int]],
    question: Evidence | None,
    lone: bool,
    plain: str,
) -> Evidence | None:
    """The evidence of this kind whose words stand closest in the same sentence; the open question's when none do."""
    of_kind = {e.id: e for e in knowledge.evidence.values() if e.kind == kind}
    if not of_kind:
        return None
    best: tuple[int, str] | None = None
    for name, first, last in near:
        if name not in of_kind:
            continue
        distance = max(first - end, start - last, 0)
        between = plain[min(end, last) : max(start, first)]
        if distance > REACH or any(stop in between for stop in ".!?\n;"):
            continue
        if best is None or distance < best[0]:
            best = (distance, name)
    if question is not None and best is None:  # "10 minutes" to "what did you do with the jars?"
        telling = [e for e in of_kind.values() if question.id in e.implies]
        if telling:
            return telling[0]
    if question is not None and question.id in of_kind and (best is None or lone):
        return question
    if best is not None:
        return of_kind[best[1]]
    needs_words = [e for e in of_kind.values() if e.near]
    if kind in ("altitude", "temperature"):  # the unit alone tells these apart
        return next(iter(of_kind.values()))
    return None if needs_words else next(iter(of_kind.values()), None)


def _number(entry: Evidence, quantity: Quantity, plain: str) -> Observation | None:
    lo, hi = float(quantity.lo), float(quantity.hi)
    if quantity.kind == "temperature-unknown":
        scale = resolve_temperature(lo)
        if scale is None:
            return None
        if scale == "C":
            lo, hi = lo * 9 / 5 + 32, hi * 9 / 5 + 32
    if (quantity.approx or _DOUBTED.match(plain, quantity.end)) and lo == hi and entry.kind != "count":
        lo, hi = lo * (1 - ABOUT), hi * (1 + ABOUT)  # "about a thousand feet" may be on either side of a limit
    if _AT_MOST.match(plain, quantity.end):
        lo = 0.0
    return Observation(entry.id, (), lo=lo, hi=hi, approx=quantity.approx, text=_text(entry, quantity, plain))


def _text(entry: Evidence, quantity: Quantity, plain: str) -> str:
    words = plain[quantity.start : quantity.end].strip()
    unit = {"count": " jars", "minutes": " minutes", "percent": " %"}.get(entry.kind, "")
    if words.replace(".", "").isdigit():
        words += unit
    return ("about " if quantity.approx and "about" not in words else "") + words


_ALONE = re.compile(r"\s*(?:$|[.,;:!?)(-]|(?:by|at|on|for|or|so|ish|maybe|about|roughly|i|we|and|then|in|with|max|tops|as|to|it|they|total|exactly|straight)\b)")
_YEARS = (1800.0, 2100.0)


def _bare(question: Evidence, plain: str, numbers: list[Quantity]) -> list[Observation]:
    """A lone number answers a number question in its own unit. A year, or a number of something named, does not: "the 1978 booklet"."""
    if question.kind in ("choice", "several", "food", "clock"):
        return []
    for quantity in numbers:
        if quantity.kind in ("bare", "temperature-unknown") and _ALONE.match(plain, quantity.end):
            year = float(quantity.lo).is_integer() and _YEARS[0] <= quantity.lo <= _YEARS[1] and question.kind != "altitude"
            seen = None if year else _number(question, quantity._replace(kind="bare"), plain)
            return [] if seen is None else [seen._replace(text="")]
    return []
