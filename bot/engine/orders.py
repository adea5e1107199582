"""What a message has done for the person at the stove: timers, and the log of a bath. None of it is a sign of anything.

An order is taken only from a message that begins with one and tells of no trouble: a danger or an illness in it is answered first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any, NamedTuple

from bot.engine.case import Case, Observation
from bot.engine.emergency import OF_THE_PERSON
from bot.engine.knowledge import Knowledge
from bot.engine.numbers import NUMBER_WORDS, TENS
from bot.engine.reader import Reader, Reading
from bot.engine.reply import Timer
from bot.engine.understood import tell_danger
from bot.engine.wording import aside
from bot.engine.words import Word, normalise, split

if TYPE_CHECKING:
    from bot.engine.turn import Engine, Outcome

# Kept with the kitchen until the next message: the order that lacked something, the evidence it lacked, what was asked.
UNFINISHED, WANTS, ASKED = "order-unfinished", "order-wants", "order-asked"
SHORT = 8  # words: an answer to what an order lacked, not a new story
CLEAR_FIT = 2  # weight of phrases from which a problem is told
# Of two orders in one message the one listed first is meant: "log the 180 bath" is no look at the log.
_FIRST = (
    "log-end", "boil-stopped", "boil-back", "log-gentle", "log-pressure", "log-boil", "ask-later", "clock", "stop-timer", "timers", "timer",
    "timer-short", "boiling", "log",
)  # fmt: skip
# Told beside an order without being a report of what happened to the jars. Of heat, what a log is about is told by the log itself.
OF_THE_BATCH = frozenset({"food", "product", "jar-size", "pack", "packed-in", "altitude", "jars-boiled-first"})
_OF_THE_TIME = frozenset(
    {"process-minutes", "process-timer", "process-method", "time-as-printed", "jar-count", "not-read"}
)
OF_THE_HEAT = _OF_THE_TIME | frozenset({"boil-held", "boil-restarted", "pressure-run", "bath-temperature"})


class Spoken(NamedTuple):
    """An order as it was said: words[first:last] of the normalised text are the phrase."""

    order: str
    plain: str
    words: list[Word]
    first: int = 0
    last: int = 0


class Heard(NamedTuple):
    """Everything that an order is carried out with."""

    engine: Engine
    spoken: Spoken
    reading: Reading
    case: Case
    turns: Sequence[Mapping[str, Any]]
    kitchen: Mapping[str, str]
    now: datetime
    timers: Sequence[Timer]
    text: str  # as it was typed
    coming: Sequence[Timer] = ()  # reminders of the batch
    news: bool = False  # it tells of the jars beside the order

    @property
    def metric(self) -> bool:
        """Whether the person thinks in °C and metres."""
        return self.kitchen.get("units") == "metric"


def spoken(reader: Reader, text: str) -> Spoken | None:
    """The order that a message begins with, if any."""
    plain = normalise(text)
    words = split(plain, reader.correct)
    if " ".join(plain.split()).strip(" .!?") in reader.knowledge.concepts.get("order-timers-whole", ()):
        return Spoken("timers", plain, words)
    lead = frozenset(reader.knowledge.concepts.get("order-lead-in", ()))
    reports = reader.knowledge.concepts.get("timer-reports", ())
    hits = [
        h for h in reader.orders.find(words)
        if not h.denied and not h.supposed and _led_in(words[: h.first], lead)
        and not (_name(h.owner) == "timer-short" and h.last < len(words) and words[h.last].text in reports)
    ]  # fmt: skip
    if not hits:
        return None
    best = min(hits, key=lambda h: (_FIRST.index(_name(h.owner)), h.first, -h.last))
    return Spoken(_name(best.owner), plain, words, best.first, best.last)


def _name(owner: Sequence[str]) -> str:
    return owner[1].removeprefix("order-")


def _led_in(words: list[Word], lead: frozenset[str]) -> bool:
    return all(w.text in lead or w.text[0].isdigit() or w.text in NUMBER_WORDS or w.text in TENS for w in words)


def tells_trouble(reading: Reading, knowledge: Knowledge, besides: frozenset[str] = frozenset()) -> bool:
    """Whether a message tells of a danger, an illness or a problem, evidence in `besides` not counted."""
    if max(reading.problems.values(), default=0) >= CLEAR_FIT:
        return True
    told = [o for o in reading.observations if o.evidence not in besides and not o.denied]
    return any(_is_trouble(o, knowledge) for o in told)


def _is_trouble(seen: Observation, knowledge: Knowledge) -> bool:
    entry = knowledge.evidence[seen.evidence]
    if seen.evidence in OF_THE_PERSON:
        return "none" not in seen.answers and "no" not in seen.answers
    # a time of day belongs to the order: "remind me at 10:30", "179 at 10:12"
    return entry.safety and entry.kind != "clock" and seen.evidence not in OF_THE_BATCH | _OF_THE_TIME


def tells_danger(reading: Reading, knowledge: Knowledge) -> bool:
    """Whether a message tells of a problem, an illness, or something dangerous."""
    if max(reading.problems.values(), default=0) >= CLEAR_FIT:
        return True
    told = [o for o in reading.observations if not o.denied and _is_trouble(o, knowledge)]
    return any(o.evidence in OF_THE_PERSON for o in told) or tell_danger(told, knowledge.evidence)


def answer(
    engine: Engine, reading: Reading, case: Case, turns: Sequence[Mapping[str, Any]], kitchen: Mapping[str, str], text: str, now: datetime,
    timers: Sequence[Timer], completed: bool = False,
) -> Outcome | None:  # fmt: skip
    """What comes of the order in a message, of the answer to what an order lacked, or of a reading for the log; None when it is none.

    `completed`: the text is an order of the message before with what it lacked.
    """
    from bot.engine import log_turns
    from bot.engine import timers as timing
    from bot.engine.turn import Outcome

    said = spoken(engine.reader, text)
    heard = Heard(
        engine, said or Spoken("", normalise(text), []), reading, case, turns, kitchen, now, [t for t in timers if t.id], text,
        [t for t in timers if not t.id], news=tells_trouble(reading, engine.knowledge),
    )  # fmt: skip
    if kitchen.get(UNFINISHED) and normalise(text).strip(" .!") in engine.knowledge.concepts.get(
        "order-never-mind", ()
    ):
        return Outcome(aside(engine.text("timer-left-be")), kitchen=dict.fromkeys((UNFINISHED, WANTS, ASKED), ""))
    if (
        kitchen.get(UNFINISHED)
        and said is None
        and reading.words <= SHORT
        and not tells_trouble(reading, engine.knowledge)
    ):
        finished = _finished(heard)
        if finished is not None:
            return finished
    logged = log_turns.answer(heard)
    if logged is not None:
        return logged
    if said is None or (not completed and _answers(heard)):
        return None
    done = timing.answer(heard)
    return done if done is None or not heard.news else _with_the_news(heard, done)


def _answers(heard: Heard) -> bool:
    """Whether words that could set a timer tell of the bath instead: "20 minutes, timer, 300 ft"; "timer 10 min" where a time is asked for."""
    from bot.engine import timers as timing

    order, asked = heard.spoken.order, heard.reading.answered and _asks_for_a_time(heard)
    evidence = heard.engine.knowledge.evidence
    others = [o for o in heard.reading.observations if o.evidence not in _OF_THE_TIME | {"food", "product"}]
    of_more = any(evidence[o.evidence].kind != "clock" for o in others)
    if order == "timer-short" and (not timing.is_nothing_else(heard) or (asked and of_more)):
        return True
    return (order == "timer-short" and asked and not timing.is_named(heard)) or (
        order == "timer" and asked and not timing.is_nothing_else(heard)
    )


_GONE_BY = frozenset("ago since old back last yesterday yday morning night evening".split())


def _asks_for_a_time(heard: Heard) -> bool:
    """Whether the open question is answered with minutes, how it was timed, or a time of day; of a clock only with one gone by."""
    case = heard.case
    entry = heard.engine.knowledge.evidence.get(case.question[0]) if case.question else None
    if entry is not None and entry.kind == "clock":  # "timer 5 min plate" is no five minutes ago
        return any(word.text in _GONE_BY for word in heard.spoken.words)
    return entry is not None and (entry.kind == "minutes" or entry.id in _OF_THE_TIME)


def _with_the_news(heard: Heard, done: Outcome) -> Outcome | None:
    """An order in a message that tells of the jars too: the jars first, and the timer as well, unless it is urgent."""
    if heard.spoken.order != "timer":
        return None
    if not done.timers:  # it lacks something: asked about, unless what is told of the jars is a danger
        return None if tells_danger(heard.reading, heard.engine.knowledge) else done
    engine = heard.engine
    told = engine.about_a_batch(heard.case, heard.turns, heard.kitchen, heard.reading, heard.text, heard.now)
    if told.reply.kind == "urgent" or told.record is None:
        return told
    *first, last = told.reply.paragraphs
    lines = (
        (*first, done.reply.paragraphs[0], last) if told.reply.question else (*first, last, done.reply.paragraphs[0])
    )
    return told._replace(
        reply=told.reply._replace(paragraphs=lines, reminders=(*told.reply.reminders, *done.reply.reminders)),
        timers=done.timers,
    )


def _finished(heard: Heard) -> Outcome | None:
    """The order of the message before, with what it lacked."""
    engine, kitchen, case = heard.engine, heard.kitchen, heard.case
    whole = f"{kitchen[UNFINISHED]}. {heard.text}"
    wanted = engine.knowledge.evidence.get(kitchen.get(WANTS, ""))
    reading = engine.reader.read(whole, heard.now)
    if wanted is not None:
        added = engine.reader.read(heard.text, heard.now, wanted).observations
        reading = reading._replace(observations=(*reading.observations, *added))
    rest = {**kitchen, UNFINISHED: "", WANTS: "", ASKED: ""}
    done = answer(
        engine,
        reading,
        case._replace(question=None),
        heard.turns,
        rest,
        whole,
        heard.now,
        [*heard.timers, *heard.coming],
        completed=True,
    )
    told = any(o.evidence in OF_THE_BATCH for o in heard.reading.observations)
    if done is None or (
        done.kitchen.get(ASKED) == kitchen.get(ASKED) and not told
    ):  # not answered: it was something else
        return None
    record = {**done.record, "text": heard.text} if done.record is not None else None
    return done._replace(record=record, kitchen={**dict.fromkeys((UNFINISHED, WANTS, ASKED), ""), **done.kitchen})


def lacks(heard: Heard, says: str, wants: str = "", without: tuple[int, int] = (0, 0)) -> Outcome:
    """Asks for what an order lacks; the next message may give it. `without`: the place in the text of what could not be taken."""
    from bot.engine.turn import Outcome

    plain, (first, last) = heard.spoken.plain, without
    return Outcome(aside(says), kitchen={UNFINISHED: plain[:first] + plain[last:], WANTS: wants, ASKED: says})


def record(heard: Heard, observations: Sequence[Observation] = (), **more: Any) -> dict[str, Any]:
    """What is kept of an order: a turn beside the story of the batch, so that it can be undone."""
    kept = [o.as_dict() for o in observations]
    return {
        "at": heard.now.isoformat(),
        "text": heard.text[:6000],
        "observations": kept,
        "problems": [],
        "beside": True,
        **more,
    }


def done_with(kitchen: Mapping[str, str], outcome: Outcome) -> Outcome:
    """The same outcome; what an order lacked is forgotten once the talk has moved on."""
    stale = {key: "" for key in (UNFINISHED, WANTS, ASKED) if kitchen.get(key)}
    return outcome._replace(kitchen={**stale, **outcome.kitchen}) if stale else outcome


def undone(
    engine: Engine, case: Case, turns: Sequence[Mapping[str, Any]], kitchen: Mapping[str, str], now: datetime
) -> list[str]:
    """How a log stands once the order that was given last was taken back; nothing when none is kept."""
    from bot.engine import log_turns

    return log_turns.after_undo(Heard(engine, Spoken("", "", []), Reading(), case, turns, kitchen, now, (), ""))
