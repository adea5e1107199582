"""Somebody is unwell: until that is taken back, whatever else is typed the same day gets the call for help again."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from bot.engine.case import Case
from bot.engine.reader import Reading

if TYPE_CHECKING:
    from bot.engine.turn import Engine, Outcome

# Commands that are carried out all the same.
NO_TALK = frozenset({"say-undo", "say-start-over", "say-forget", "say-stop", "say-why", "say-why-asked", "say-kitchen"})
OF_THE_PERSON = frozenset({"symptoms", "eaten"})


SAME_DAY = timedelta(hours=12)  # since the last message; later ones may be about other jars


def is_on(engine: Engine, case: Case, now: datetime) -> bool:
    """Whether an illness was told, not taken back, and is still what the talk is about."""
    belief = case.belief("symptoms")
    if not case.last_at or now - datetime.fromisoformat(case.last_at) >= SAME_DAY:
        return False
    return belief is not None and bool(belief.present & set(engine.knowledge.evidence["symptoms"].danger))


def comes_first(reading: Reading) -> bool:
    """Whether a message says nothing new of the person: "should I wait till tomorrow", "hello", a question about peaches."""
    return reading.command not in NO_TALK and not any(seen.evidence in OF_THE_PERSON for seen in reading.observations)


def again(engine: Engine, case: Case, kitchen: Mapping[str, str], now: datetime) -> Outcome:
    """The call for help once more, and how to go on if it was a mistake."""
    from bot.engine.turn import Outcome

    record: dict[str, Any] = {"at": now.isoformat(), "text": "", "observations": [], "problems": [], "aside": True}
    reply = engine.reply(engine.findings(case, kitchen, now, (), False))
    return Outcome(reply._replace(paragraphs=(*reply.paragraphs, engine.text("ill-go-on"))), record)
