"""How the log of a bath begins: which bath, how many minutes, at what pressure. The clock of a boil begins the same way."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bot.engine import courtesies, log_words
from bot.engine.case import fold
from bot.engine.facts import NO, Facts
from bot.engine.figures import Ask, Figure
from bot.engine.heat import altitudes
from bot.engine.log_kept import kept
from bot.engine.log_readings import Told, numbers_in, readings_in
from bot.engine.log_taken import PSI_MOST, taken
from bot.engine.orders import OF_THE_BATCH, Heard, lacks
from bot.engine.quantities import find_quantities
from bot.engine.stove_log import BOIL, GENTLE, PRESSURE, Log, Noted
from bot.engine.texts import sentence
from bot.engine.wording import aside
from bot.kitchen.pressure import PressureRow, published_row
from bot.kitchen.units import show_altitude

if TYPE_CHECKING:
    from bot.engine.turn import Outcome

BEGINS = frozenset({"log-gentle", "log-boil", "log-pressure", "clock"})
LONGEST_PROCESS = 240.0  # minutes: no published process of a jar is as long
LOW_ACID = "low-acid"  # rows of the pressure table
JARS_FIRST = "jars-boiled-first"


def begin(heard: Heard) -> Outcome:
    """The log that an order begins. A boil that is said to be boiling already, and a clock, count from now."""
    facts = _facts(heard)
    methods = facts.possible("process-method") if facts.known("process-method") else frozenset[str]()
    order = heard.spoken.order
    if order == "log-gentle" or (order != "log-pressure" and methods == {"low-temp"}):
        return _gentle(heard, facts)
    if order == "log-pressure" or methods == {"pressure"}:
        return _pressure(heard, facts)
    return _boil(heard, facts)


def _facts(heard: Heard) -> Facts:
    """What is known of the batch, with what this message tells of it."""
    said = [o.as_dict() for o in heard.reading.observations if o.evidence in OF_THE_BATCH]
    knowledge = heard.engine.knowledge
    return Facts(knowledge, fold([{"observations": said}], knowledge.evidence, heard.case), heard.now)


def beside_the_order(heard: Heard) -> list[Told]:
    """Readings told in the same breath, outside the words of the order."""
    spoken = heard.spoken
    first, last = spoken.words[spoken.first].start, spoken.words[spoken.last - 1].end
    fillers = heard.engine.knowledge.concepts.get("log-filler", ())
    return readings_in(f"{spoken.plain[:first]} {spoken.plain[last:]}", heard.now, fillers) or []


def _gentle(heard: Heard, facts: Facts) -> Outcome:
    from bot.engine.turn import Outcome

    not_for_it = _not_for_it(facts)
    if not_for_it:
        return Outcome(aside(f"{not_for_it} {heard.engine.text('log-not-begun')}"))
    told = beside_the_order(heard)
    minutes: float = facts.knowledge.tables["low_temperature_minutes"]  # type: ignore[assignment]
    said_c = any(each.unit == "C" for each in told) or any(w.text == "82" for w in heard.spoken.words)
    unit = "C" if said_c or (heard.metric and not any(w.text.startswith("18") for w in heard.spoken.words)) else "F"
    log = Log(GENTLE, minutes, 0.0, unit, heard.now)
    start = {"kind": GENTLE, "minutes": minutes, "psi": 0.0, "unit": unit}
    if told:
        return taken(heard, log, told, facts, start)
    return _begun(heard, log, log_words.opening(heard, log, facts), start, facts)


def _not_for_it(facts: Facts) -> str:
    """That the gentle bath is not for this food, where that is known already."""
    rule = facts.knowledge.rules.get(log_words.GENTLE_RULE)
    with_it = log_words.with_answer(facts, "process-method", "low-temp")
    return sentence(rule.says) if rule is not None and with_it.any_holds(rule.clear_if) == NO else ""


def _boil(heard: Heard, facts: Facts) -> Outcome:
    from bot.engine.figures.heat import process_time
    from bot.engine.turn import Outcome

    text = heard.engine.text
    ask = Ask(heard.engine.knowledge, heard.spoken.plain, heard.reading, facts, heard.kitchen, heard.metric)
    figure = process_time(ask)
    longer = figure.missing == JARS_FIRST  # it boils already: the longer time is taken rather than asked about
    if longer:
        figure = process_time(ask._replace(facts=log_words.with_answer(facts, JARS_FIRST, "hot-only")))
    entry = next(asked for asked in heard.engine.knowledge.asked.values() if asked.figure == "process-time")
    told = _minutes_told(heard)
    if told is not None and not 0 < told <= LONGEST_PROCESS:
        return lacks(heard, text("clock-minutes"))
    if figure.missing and told is None:
        return lacks(heard, f"{text('clock-lacks')} {entry.missing[figure.missing]}", figure.missing)
    if not figure.missing and figure.way in ("no-bath", "not-published") and (told is None or figure.way == "no-bath"):
        return Outcome(aside(_filled(entry.ways[figure.way], figure)))
    minutes = max(told or 0.0, float(figure.values.get("minutes", "0")) if figure.way else 0.0)
    log = Log(BOIL, minutes, 0.0, "", heard.now)
    start = {"kind": BOIL, "minutes": minutes, "psi": 0.0, "unit": ""}
    first = (
        [text("clock-longer", told=f"{told:g}", minutes=f"{minutes:g}")] if told is not None and told < minutes else []
    )
    last = [text("clock-jars-not-boiled")] if longer and not figure.missing else []
    if heard.spoken.order == "clock" or any(
        w.text in ("boiling", "rolling") for w in heard.spoken.words[heard.spoken.last :]
    ):
        log = log._replace(noted=(Noted(heard.now, 1.0, 1.0),))
    return _begun(heard, log, [*first, *log_words.opening(heard, log, facts, figure.values), *last], start, facts)


def _filled(says: str, figure: Figure) -> str:
    for name, value in figure.values.items():
        says = says.replace("{" + name + "}", value)
    return " ".join(says.split())


def _minutes_told(heard: Heard) -> float | None:
    found = [q for q in find_quantities(heard.spoken.plain) if q.kind in ("minutes", "hours")]
    return float(found[0].hi) * (60.0 if found[0].kind == "hours" else 1.0) if found else None


def _pressure(heard: Heard, facts: Facts) -> Outcome:
    text = heard.engine.text
    numbers = numbers_in(heard.spoken.plain)
    told = next((each for each in numbers if each.unit == "psi"), None) or next(
        (each for each in numbers if not each.unit and not each.is_minute), None
    )
    minutes = next((each.lo for each in numbers if each.is_minute), None)
    if told is None or minutes is None or not 0 < minutes <= LONGEST_PROCESS:
        return lacks(heard, text("log-pressure-lacks"))
    psi, least = told.lo, _least_psi(facts)
    if psi < least:
        values = {"psi": f"{psi:g}", "least": f"{least:g}"}
        height = show_altitude(altitudes(facts)[0], heard.metric)
        says = (
            text("log-psi-low", altitude=height, **values)
            if facts.known("altitude")
            else text("log-psi-low-anywhere", **values)
        )
        return lacks(heard, says, without=(told.start, told.end))
    if psi > PSI_MOST:
        return lacks(heard, text("log-psi", said=f"{psi:g}"), without=(told.start, told.end))
    log = Log(PRESSURE, minutes, psi, "psi", heard.now)
    start = {"kind": PRESSURE, "minutes": minutes, "psi": psi, "unit": "psi"}
    return _begun(heard, log, log_words.opening(heard, log, facts), start, facts)


def _least_psi(facts: Facts) -> float:
    """The lowest pressure published for this food at the lowest height that is still possible, whatever the gauge."""
    rows: tuple[PressureRow, ...] = facts.knowledge.tables["pressure"]  # type: ignore[assignment]
    acid = bool(facts.foods()) and facts.possible("acidity") <= {"acid", "needs-acid", "pickled"}
    groups = {row.foods for row in rows} if acid else {LOW_ACID}
    low = altitudes(facts)[0]
    found = [published_row(rows, foods, gauge, low, low) for foods in groups for gauge in ("dial", "weighted")]
    return min((row.psi for row in found if row is not None), default=0.0)


def _begun(heard: Heard, log: Log, lines: list[str], start: dict[str, Any], facts: Facts) -> Outcome:
    """A log begun without a reading of its own, but for a boil that is seen already."""
    entry: dict[str, Any] = {"begin": start}
    if log.noted:
        entry["read"] = [[each.at.isoformat(), each.lo, each.hi, each.by_clock] for each in log.noted]
    told = [o for o in heard.reading.observations if o.evidence in OF_THE_BATCH]
    done = kept(heard, log, lines, entry, told, facts)
    learnt = courtesies.learnt(heard.reading, heard.kitchen)
    assert done.record is not None
    was = {"kitchen_was": {key: heard.kitchen.get(key, "") for key in learnt}} if learnt else {}
    return done._replace(record={**done.record, **was}, kitchen={**done.kitchen, **learnt})
