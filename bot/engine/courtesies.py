"""Commands and courtesies of a chat: help, undo, why, my kitchen, forget me; and short answers to questions before the deed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

from bot.engine.case import Case, Observation
from bot.engine.facts import OPEN
from bot.engine.reader import Reading
from bot.engine.reply import Reply
from bot.engine.texts import MOST_WORDS, Line, count_words, fit, sentence
from bot.engine.wording import aside
from bot.kitchen.units import show_altitude, show_temperature

if TYPE_CHECKING:
    from bot.engine.turn import Engine, Outcome



REMEMBERED = {"altitude": "altitude", "boiling-water-reading": "thermometer"}  # evidence that is the kitchen's, and its name there


def reply_to(
    engine: Engine, command: str, case: Case, turns: Sequence[Mapping[str, Any]], kitchen: Mapping[str, str], now: datetime
) -> Outcome:
    """Answer one command. The open question, if any, stays open."""
    from bot.engine.turn import Outcome

    text = engine.text
    if command == "say-undo":
        return _undo(engine, turns, kitchen, now)
    if command == "say-start-over":
        return Outcome(aside(text("started-over")), {"at": now.isoformat(), "observations": [], "problems": []}, new_case=True, reminders=())
    if command == "say-forget":
        return Outcome(aside(text("forget-confirm")), forget=True)
    if command in ("say-why", "say-why-asked"):
        return Outcome(_why(engine, command, case, kitchen, now))
    if command == "say-kitchen":
        return Outcome(_kitchen(engine, kitchen))
    if command == "say-thanks" and case.question is not None:
        return Outcome(_repeat(engine, case, kitchen, now, text("thanks")))
    if command == "say-start" and case.question is not None:
        return Outcome(_repeat(engine, case, kitchen, now, text("welcome-back")))
    plain = {"say-help": "help", "say-start": "greeting", "say-stop": "stop", "say-thanks": "thanks"}[command]
    return Outcome(aside(text(plain)))


def _repeat(engine: Engine, case: Case, kitchen: Mapping[str, str], now: datetime, first: str) -> Reply:
    """The present state of the batch again, with its open question, after a first line."""

    reopened = case._replace(asked=case.asked - ({case.question} if case.question else frozenset()))
    found = engine.findings(reopened, kitchen, now, (), False)
    reply = engine.reply(found)
    question = reply.question.says if reply.question else ""
    return reply._replace(kind="aside", paragraphs=tuple(p for p in (first, question) if p))


def _undo(engine: Engine, turns: Sequence[Mapping[str, Any]], kitchen: Mapping[str, str], now: datetime) -> Outcome:

    from bot.engine.turn import Outcome

    if not turns or not turns[-1].get("text"):
        return Outcome(aside(engine.text("nothing-to-undo")))
    left = turns[:-1]
    was: dict[str, str] = turns[-1].get("kitchen_was", {})  # what that message taught of the kitchen goes with it
    kitchen = {key: value for key, value in {**kitchen, **was}.items() if value}
    first = engine.text("undone", what=_short(str(turns[-1]["text"])))
    case = engine.case(left, kitchen)
    if turns[-1].get("beside"):
        from bot.engine.orders import undone

        return Outcome(aside("\n".join((first, *undone(engine, case, left, kitchen, now)))), undo=True, kitchen=was)
    if not any(not turn.get("beside") for turn in left):
        return Outcome(aside(first + "\n" + engine.text("opening")), undo=True, reminders=(), kitchen=was)
    reopened = case._replace(asked=case.asked - ({case.question} if case.question else frozenset()))
    found = engine.findings(reopened, kitchen, now, (), False)
    reply = engine.reply(found)
    return Outcome(reply._replace(kind="aside", paragraphs=(first, *reply.paragraphs)), undo=True, reminders=reply.reminders, kitchen=was)


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:57].rsplit(" ", 1)[0] + " …"


def _why(engine: Engine, command: str, case: Case, kitchen: Mapping[str, str], now: datetime) -> Reply:
    text = engine.text
    entry = engine.knowledge.evidence.get(case.question[0]) if case.question else None
    if kitchen.get("figure-how"):
        return aside(kitchen["figure-how"])
    if command == "say-why-asked":
        if entry is None:
            return aside(text("why-nothing"))
        return aside(text("why-asked", why=entry.why) + "\n" + sources_words(engine, entry.sources) + "\n" + entry.asks)
    if not case.turns or not (case.problems or case.beliefs):
        return aside(text("why-nothing"))
    found = engine.findings(case, kitchen, now, (), False)
    lines: list[Line] = []
    sources: list[str] = []
    if found.judgements:
        judgement = found.judgements[found.main]
        rules = judgement.broken or tuple(s.rule for s in judgement.states if s.clear == OPEN)
        if rules and not judgement.broken:
            lines.append(Line(text("why-open")))
        for n, rule in enumerate(rules[:2]):
            lines.append(Line(sentence(rule.says), 3 * n))
            lines.append(Line(sentence(rule.note) if rule.note else "", 2 + 3 * n))
            sources += rule.sources
    for problem in found.problems[:1]:
        for ranked in found.ranked.get(problem.id, [])[:1]:
            names = [_says(engine, e, a) for e, a in ranked.reasons[:2]]
            because = f" (because: {', '.join(n for n in names if n)})" if names else ""
            lines.append(Line(sentence(ranked.cause.says).rstrip(".") + because + ".", 4 if lines else 0))
            sources += ranked.cause.sources
    for fix in found.fixes[:2]:
        sources += fix.sources
    if not lines:
        lines.append(Line(text("verdict-shelf-ok", jars="Everything asked was in order, so")))
    lines.append(Line(sources_words(engine, _one_each(sources)[:4]), 1))
    if entry is not None:
        lines.append(Line(entry.asks, 6))
    return aside("\n".join(fit(lines)))


def _one_each(sources: Sequence[str]) -> tuple[str, ...]:
    """One place of each publication: the whole list is in the data form of the reply."""
    first: dict[str, str] = {}
    for reference in sources:
        first.setdefault(reference.partition("#")[0], reference)
    return tuple(first.values())


def _says(engine: Engine, evidence: str, answer: str) -> str:
    entry = engine.knowledge.evidence.get(evidence)
    if entry is None or answer not in entry.answers:
        return evidence.replace("-", " ") + " " + answer
    return entry.answers[answer].says


def sources_words(engine: Engine, sources: Sequence[str]) -> str:
    """ "From: ...", or nothing."""
    if not sources:
        return ""
    return engine.text("why-sources", what="; ".join(cite(engine, s) for s in sources))


def cite(engine: Engine, reference: str) -> str:
    """ "USDA Complete Guide, Guide 1 (2015), Testing jar seals": a source as a person reads it."""
    id_, _, place = reference.partition("#")
    source = engine.knowledge.sources[id_]
    if source.kind == "practice":
        return f"common practice: {place}"
    if source.kind == "worked-out":
        return f"worked out here {place if place.startswith('from') else 'from: ' + place}"
    return f"{source.short or source.title}: {place}"


def _kitchen(engine: Engine, kitchen: Mapping[str, str]) -> Reply:
    parts: list[str] = []
    if kitchen.get("altitude_lo"):
        parts.append(show_altitude((float(kitchen["altitude_lo"]) + float(kitchen["altitude_hi"])) / 2, kitchen.get("units") == "metric"))
    if kitchen.get("thermometer_lo"):
        shown = show_temperature(float(kitchen["thermometer_lo"]), kitchen.get("units") == "metric")
        parts.append(engine.text("kitchen-thermometer", reading=shown))
    if "units" in kitchen:
        parts.append(f"{kitchen['units']} units")
    return aside(engine.text("kitchen", what=", ".join(parts)) if parts else engine.text("kitchen-empty"))


def kitchen_turn(kitchen: Mapping[str, str]) -> dict[str, Any] | None:
    """What a kitchen remembers, as the turn that stands before all others."""
    seen: list[Observation] = []
    for name, key in REMEMBERED.items():
        if kitchen.get(f"{key}_lo"):  # empty: taken back by undo
            lo, hi = float(kitchen[f"{key}_lo"]), float(kitchen[f"{key}_hi"])
            seen.append(Observation(name, lo=lo, hi=hi, text=kitchen.get(f"{key}_text", "")))
    return {"observations": [each.as_dict() for each in seen]} if seen else None


def learnt(reading: Reading, kitchen: Mapping[str, str]) -> dict[str, str]:
    """What a message tells about the kitchen itself rather than about the batch."""
    found: dict[str, str] = {}
    for seen in reading.observations:
        key = REMEMBERED.get(seen.evidence)
        if key and seen.certain and seen.lo is not None and not seen.cant_say:
            found |= {f"{key}_lo": str(seen.lo), f"{key}_hi": str(seen.hi), f"{key}_text": seen.text}
    if reading.units and kitchen.get("units") != reading.units:
        found["units"] = reading.units
    return found


def answer_asked(engine: Engine, reading: Reading) -> Reply:
    """The short answer to a question before the deed, with its source."""
    best = max(reading.asked, key=lambda a: reading.asked[a])
    asked = engine.knowledge.asked[best]
    says = sentence(asked.says)
    source = sources_words(engine, asked.sources[:2])
    return aside(says + ("\n" + source if count_words(says + source) <= MOST_WORDS else ""))
