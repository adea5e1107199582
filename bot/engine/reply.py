"""What goes back to a person, as data. Each channel renders it; `as_json` is the public JSON-lines form (README.md)."""

from datetime import datetime
from typing import Any, NamedTuple


class Heard(NamedTuple):
    """One thing a message was understood to say."""

    evidence: str
    answer: str
    certain: bool


class Verdict(NamedTuple):
    """What may be done with one group of jars. `until` and `start_by` are deadlines of the best act left, or None."""

    jars: str
    outcome: str
    settled: bool
    until: datetime | None
    start_by: datetime | None
    because: tuple[str, ...]
    worst: str


class LikelyCause(NamedTuple):
    """A cause as told in the data form: `because` are ids of evidence, `chance` is between 0 and 1."""

    id: str
    problem: str
    says: str
    chance: float
    because: tuple[str, ...]
    sources: tuple[str, ...]


class Advice(NamedTuple):
    """One thing to do; `when` is now, this-batch or next-time."""

    says: str
    when: str
    until: datetime | None
    sources: tuple[str, ...]


class Question(NamedTuple):
    """The one question of a reply, with its buttons."""

    evidence: str
    says: str
    why: str
    choices: tuple[str, ...]
    jars: str = ""  # the group of jars asked about, "" for the batch


class Picture(NamedTuple):
    """Something that could be drawn for this reply."""

    name: str
    alt: str


class Reminder(NamedTuple):
    """A message worth sending later."""

    at: datetime
    says: str


class Timer(NamedTuple):
    """A timer that runs: what it is called, when it is due, what is told then. `id` is the store's; 0 while it has none."""

    name: str
    at: datetime
    says: str
    id: int = 0


class Reply(NamedTuple):
    """`paragraphs` is the whole reply as a person reads it, first line first; the last one is the question, if there is one."""

    kind: str
    paragraphs: tuple[str, ...]
    problems: tuple[str, ...] = ()
    heard: tuple[Heard, ...] = ()
    verdicts: tuple[Verdict, ...] = ()
    verdict: Verdict | None = None
    causes: tuple[LikelyCause, ...] = ()
    fixes: tuple[Advice, ...] = ()
    question: Question | None = None
    choices: tuple[str, ...] = ()  # of a clarify reply, which has no evidence behind it
    done: bool = False
    pictures: tuple[Picture, ...] = ()
    reminders: tuple[Reminder, ...] = ()

    @property
    def text(self) -> str:
        return "\n".join(self.paragraphs)


def _iso(moment: datetime | None) -> str | None:
    return moment.isoformat() if moment else None


def _verdict(verdict: Verdict | None) -> dict[str, Any] | None:
    if verdict is None:
        return None
    return {
        "jars": verdict.jars,
        "outcome": verdict.outcome,
        "settled": verdict.settled,
        "until": _iso(verdict.until),
        "start_by": _iso(verdict.start_by),
        "because": list(verdict.because),
        "worst": verdict.worst,
    }


def as_json(reply: Reply, chat: str, at: str) -> dict[str, Any]:
    """The reply as one JSON object of the public conversation contract; `chat` and `at` are echoed as given."""
    question = reply.question
    asked: dict[str, Any] | None = None
    if question is not None:
        asked = {"evidence": question.evidence, "says": question.says, "why": question.why, "choices": list(question.choices)}
    elif reply.choices:
        asked = {"evidence": "problem", "says": reply.paragraphs[-1], "why": "", "choices": list(reply.choices)}
    return {
        "chat": chat,
        "at": at,
        "kind": reply.kind,
        "problems": list(reply.problems),
        "heard": [{"evidence": h.evidence, "answer": h.answer, "certain": h.certain} for h in reply.heard],
        "verdicts": [_verdict(v) for v in reply.verdicts],
        "verdict": _verdict(reply.verdict),
        "causes": [
            {
                "id": c.id,
                "problem": c.problem,
                "says": c.says,
                "chance": round(c.chance, 4),
                "because": list(c.because),
                "sources": list(c.sources),
            }
            for c in reply.causes
        ],
        "fixes": [
            {"says": f.says, "when": f.when, "until": _iso(f.until), "sources": list(f.sources)} for f in reply.fixes
        ],
        "question": asked,
        "done": reply.done,
        "pictures": [{"name": p.name, "alt": p.alt} for p in reply.pictures],
        "reminders": [{"at": r.at.isoformat(), "says": r.says} for r in reply.reminders],
        "text": reply.text,
    }
