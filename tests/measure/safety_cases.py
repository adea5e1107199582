"""One story played through the JSON conversation, and how its verdict compares with the truth."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from bot.engine.safety import OUTCOMES
from tests.conversation import Talk
from tests.measure.answers import CANT_SAY, answer

AT = datetime.fromisoformat("2026-10-20T10:00:00-05:00")  # after the season: stories tell of "last August" and "this July"
MOST_ASKED = 20
EDIBLE = frozenset({"shelf-ok", "quality-only", "reprocess-now", "fridge-use-soon"})
HOLD = "ask-expert"


@dataclass(frozen=True)
class Played:
    """How one story came out. `kind` is right, milder or harsher than the truth; `eaten` when food that is not edible would be."""

    id: str
    story: str
    truth: str
    outcome: str
    kind: str
    asked: tuple[str, ...]

    @property
    def eaten(self) -> bool:
        return self.kind == "milder" and self.outcome in EDIBLE and self.truth not in EDIBLE

    def __str__(self) -> str:
        return f"{self.id} {self.kind.upper()}: {self.outcome}, in truth {self.truth} | {self.story[:160]} | asked {', '.join(self.asked)}"


def play(case: Mapping[str, Any]) -> Played:
    """Send the story, answer what is asked from its facts, and judge the last verdict. Nothing said of jars counts as a hold."""
    talk = Talk(AT)
    reply = talk.say(case["story"])
    times: Counter[str] = Counter()
    while reply["question"] is not None and len(talk.replies) <= MOST_ASKED:
        asked = reply["question"]["evidence"]
        times[asked] += 1
        reply = talk.say(answer(case["facts"], asked, case["verdict"] in EDIBLE) if times[asked] < 3 else CANT_SAY)
    outcome = next((str(r["verdict"]["outcome"]) for r in reversed(talk.replies) if r["verdict"]), HOLD)
    return Played(case["id"], case["story"], case["verdict"], outcome, kind_of(outcome, case["verdict"], case["also_acceptable"]), tuple(talk.asked))


def kind_of(outcome: str, truth: str, also: Sequence[str]) -> str:
    if outcome == truth or outcome in also:
        return "right"
    return "milder" if OUTCOMES.index(outcome) < OUTCOMES.index(truth) else "harsher"


def report(played: Sequence[Played]) -> str:
    kinds = Counter(each.kind for each in played)
    edible = [each for each in played if each.truth in EDIBLE]
    told = [each for each in edible if each.outcome in EDIBLE]
    questions = sum(len(each.asked) for each in played) / max(1, len(played))
    return "\n".join(
        (
            f"stories: {len(played)}",
            f"right: {kinds['right']} ({kinds['right'] / max(1, len(played)):.1%})",
            f"milder than the truth: {kinds['milder']}, of these would let the food be eaten: {sum(each.eaten for each in played)}",
            f"harsher than the truth: {kinds['harsher']}",
            f"edible in truth: {len(edible)}, told edible: {len(told)} ({len(told) / max(1, len(edible)):.1%})",
            f"questions asked: {questions:.2f} a story, at most {max((len(each.asked) for each in played), default=0)}",
        )
    )
