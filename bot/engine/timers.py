"""Timers by plain words: set one, stop one, see which run. Each is a name, a time, and what is told when it is up."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from bot.engine.due_times import Due, find_due, spoken, time_words
from bot.engine.orders import Heard, lacks, record
from bot.engine.published import TimerKind
from bot.engine.reply import Reminder, Reply, Timer
from bot.engine.texts import Texts
from bot.engine.wording import aside
from bot.engine.words import Word, split, stem

if TYPE_CHECKING:
    from bot.engine.turn import Engine, Outcome

LONGEST_NAME = 40  # letters
LATE = timedelta(minutes=1)  # told later than this, a timer is told as late


def answer(heard: Heard) -> Outcome | None:
    """What comes of an order about timers; None when it is about none, or nothing runs that it could be about."""
    order = heard.spoken.order
    if order in ("timer", "timer-short", "ask-later"):
        return _set(heard)
    if order == "stop-timer":
        return _stop(heard)
    if order == "timers":
        named = heard.spoken.last == 0 or any(w.stem in ("timer", "reminder") for w in heard.spoken.words)
        return _list(heard) if heard.timers or named else None
    return None


# -- setting --------------------------------------------------------------------------------------------------------
def _set(heard: Heard) -> Outcome:
    found = find_due(heard.spoken.plain, heard.now)
    bad = next((due for due in found if due.doubt), None)
    if bad is not None:
        return lacks(heard, _asked_back(heard.engine.text, bad, heard.now), without=(bad.start, bad.end))
    if not found:
        kind = _kind(heard, _name(heard, 0, len(heard.spoken.plain)))
        if kind is None or kind.minutes is None:
            return lacks(heard, heard.engine.text("timer-how-long"))
        span = timedelta(minutes=kind.minutes)
        found = [Due(heard.now + span, span, len(heard.spoken.plain), len(heard.spoken.plain))]
    made: list[Timer] = []
    for due, name in zip(found, _names(heard, found), strict=True):
        made.append(_timer(heard, due, name, [*heard.timers, *made]))
    return told(heard, made)


def told(heard: Heard, made: Sequence[Timer], first: str = "") -> Outcome:
    """Timers that were just set, in words, with those that run beside them."""
    from bot.engine.turn import Outcome

    text, now = heard.engine.text, heard.now
    lines = [first or text("timer-set", what="; ".join(f"{timer.name}, {_span(timer, now)}" for timer in made))]
    if heard.timers:
        lines.append(text("timers-beside", what=_running(text, heard.timers, now)))
    reply = Reply("aside", tuple(lines), reminders=_reminders(made, now))
    return Outcome(reply, record(heard), timers=tuple(made))


def _reminders(timers: Sequence[Timer], now: datetime) -> tuple[Reminder, ...]:
    return tuple(Reminder(timer.at.astimezone(now.tzinfo), timer.says) for timer in timers)


def _asked_back(text: Texts, due: Due, now: datetime) -> str:
    if due.doubt == "range" and due.far is not None:
        return text("timer-range", low=spoken(due.at - now), high=spoken(due.far - now))
    return text(f"timer-{due.doubt}", span=spoken(due.span) if due.span else "", at=time_words(due.at, now))


def _names(heard: Heard, found: Sequence[Due]) -> list[str]:
    """What each timer is called: the words behind its time, or those before it ("pickles 10 min, plate 2 min")."""
    every = split(heard.spoken.plain)
    edges = [0, *(due.end for due in found)]
    starts = [*(due.start for due in found), len(heard.spoken.plain)]
    clauses = [{w.clause for w in every if due.start <= w.start < due.end} for due in found]
    apart = heard.news or len({*map(frozenset, clauses)}) == len(found) > 1  # told of the jars is no name
    before = [_name(heard, edges[n], due.start, clauses[n] if apart else None) for n, due in enumerate(found)]
    after = [_name(heard, due.end, starts[n + 1], clauses[n] if apart else None) for n, due in enumerate(found)]
    if len(found) == 1 or apart:
        return [two or one for one, two in zip(before, after, strict=True)]
    return before if before[0] else after


def is_nothing_else(heard: Heard) -> bool:
    """Whether a message is about timers and no more: in one breath, or each part with a time of its own, and no figure in a name."""
    found = find_due(heard.spoken.plain, heard.now)
    said = range(heard.spoken.first, heard.spoken.last)
    every = [w for n, w in enumerate(split(heard.spoken.plain)) if n not in said]
    timed = {w.clause for w in every for due in found if due.start <= w.start < due.end}
    in_one = len({w.clause for w in every}) <= 1 or {w.clause for w in every} == timed
    return in_one and not any(letter.isdigit() for name in (_names(heard, found) if found else ()) for letter in name)


def is_named(heard: Heard) -> bool:
    """Whether a timer is told with what it is for: "timer 10 min toast" answers nobody who asks how long the jars boiled."""
    found = find_due(heard.spoken.plain, heard.now)
    return any(_names(heard, found)) if found else bool(_name(heard, 0, len(heard.spoken.plain)))


def _name(heard: Heard, start: int, end: int, clauses: set[int] | None = None) -> str:
    """The words between two places of the text, of some clauses only, without what belongs to the order."""
    filler = frozenset(heard.engine.knowledge.concepts.get("timer-filler", ()))
    words = [
        w
        for w in split(heard.spoken.plain)
        if start <= w.start and w.end <= end and (clauses is None or w.clause in clauses)
    ]
    while words and words[0].text in filler:
        words.pop(0)
    while words and words[-1].text in filler:
        words.pop()
    name = heard.spoken.plain[words[0].start : words[-1].end] if words else ""
    return name if len(name) <= LONGEST_NAME else name[:LONGEST_NAME].rsplit(" ", 1)[0]


def kinds(engine: Engine) -> dict[str, TimerKind]:
    """Kinds of timer by id."""
    found: tuple[TimerKind, ...] = engine.knowledge.tables["timers"]  # type: ignore[assignment]
    return {kind.id: kind for kind in found}


def _kind(heard: Heard, name: str) -> TimerKind | None:
    if heard.spoken.order == "ask-later":
        return kinds(heard.engine)["how-it-went"]
    said = {w.stem for w in split(name, heard.engine.reader.correct)}
    return next((kind for kind in kinds(heard.engine).values() if said & {stem(word) for word in kind.words}), None)


def _timer(heard: Heard, due: Due, name: str, others: Sequence[Timer]) -> Timer:
    text = heard.engine.text
    kind = _kind(heard, name)
    if kind is not None and (not name or heard.spoken.order == "ask-later"):
        name = kind.name
    name = name or text("timer-unnamed", span=spoken(due.span) if due.span else time_words(due.at, heard.now)).lower()
    taken = {timer.name for timer in others}
    name = next(each for each in (name, *(f"{name} ({n})" for n in range(2, 1000))) if each not in taken)
    says = (
        kind.due
        if kind is not None and heard.spoken.order == "ask-later"
        else text("timer-up", name=name, due=kind.due if kind else "").strip()
    )
    return Timer(name, due.at, says)


# -- stopping -------------------------------------------------------------------------------------------------------
def _stop(heard: Heard) -> Outcome:
    from bot.engine.turn import Outcome

    text = heard.engine.text
    if not heard.timers:
        return Outcome(aside(text("timers-none")))
    meant = _meant(heard)
    if not meant:
        which = "timer-not-found" if len(_spare(heard)) > 0 else "timer-which"
        return Outcome(aside(text(which, what=_running(text, heard.timers, heard.now))))
    left = [timer for timer in heard.timers if timer not in meant]
    lines = [text("timer-stopped", what=", ".join(timer.name for timer in meant))]
    if left:
        lines.append(text("timers-beside", what=_running(text, left, heard.now)))
    reply = Reply("aside", tuple(lines), reminders=_reminders(left, heard.now))
    return Outcome(reply, record(heard), stopped=tuple(timer.id for timer in meant))


def _spare(heard: Heard) -> list[Word]:
    """Words of the message that could be a timer's name."""
    concepts = heard.engine.knowledge.concepts
    known = {*concepts.get("timer-filler", ()), *concepts.get("stop-filler", ())}
    return [w for w in split(heard.spoken.plain) if w.text not in known]


def _meant(heard: Heard) -> list[Timer]:
    """The timers that a message stops: all, the one with most of its words in it, or the only one there is."""
    said = {w.text for w in heard.spoken.words}
    if said & set(heard.engine.knowledge.concepts.get("stop-all", ())):
        return list(heard.timers)
    spare = _spare(heard)
    if not spare and "timers" in heard.spoken.plain:
        return list(heard.timers)
    shared = {timer: sum(any(_alike(w, one) for w in spare) for one in split(timer.name)) for timer in heard.timers}
    best = max(shared.values())
    closest = [timer for timer in heard.timers if shared[timer] == best]
    if best and len(closest) > 1:  # "pickles" and "pickles (2)": the one that is called so and no more
        exact = [timer for timer in closest if len(split(timer.name)) == best]
        closest = exact or closest
    if best == 0 and spare:
        return []
    return closest if len(closest) == 1 else []


def _alike(one: Word, other: Word) -> bool:
    """The same word, or one letter mistyped."""
    if one.stem == other.stem:
        return True
    from rapidfuzz.distance import OSA

    return min(len(one.stem), len(other.stem)) >= 4 and OSA.distance(one.stem, other.stem) <= 1


# -- looking --------------------------------------------------------------------------------------------------------
def _list(heard: Heard) -> Outcome:
    from bot.engine.turn import Outcome

    reply = running(heard.engine, heard.timers, heard.now)
    text = heard.engine.text
    also = tuple(
        text("timers-reminder", at=time_words(each.at, heard.now), says=each.says)
        for each in heard.coming
        if each.at > heard.now
    )
    return Outcome(reply._replace(paragraphs=(*reply.paragraphs, *also)))


def running(engine: Engine, timers: Sequence[Timer], now: datetime) -> Reply:
    """Which timers run, one a line."""
    if not timers:
        return aside(engine.text("timers-none"))
    lines = [engine.text("timers-running"), *(f"{timer.name}: {_span(timer, now, engine.text)}" for timer in timers)]
    return Reply("aside", tuple(lines), reminders=_reminders(timers, now))


def _running(text: Texts, timers: Sequence[Timer], now: datetime) -> str:
    return "; ".join(f"{timer.name}, {_span(timer, now, text)}" for timer in timers)


def _span(timer: Timer, now: datetime, text: Texts | None = None) -> str:
    """ "10 min, until 10:30", or that it is over."""
    at = time_words(timer.at, now)
    if timer.at <= now and text is not None:
        over = text("timer-over", at=at)
        return over[:1].lower() + over[1:]
    left = timedelta(seconds=max(1, round((timer.at - now).total_seconds())))
    if left >= timedelta(minutes=3):
        left = timedelta(minutes=-(-left // timedelta(minutes=1)))
    return f"{spoken(left)}, until {at}"


def when_due(engine: Engine, timer: Timer, now: datetime) -> str:
    """What is told of a timer that is up; one that is told late says since when."""
    late = now - timer.at
    if late < LATE:
        return timer.says
    return engine.text(
        "timer-late",
        says=timer.says,
        at=time_words(timer.at, now),
        ago=spoken(timedelta(minutes=late // timedelta(minutes=1))),
    )
