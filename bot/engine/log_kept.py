"""A log with something more in it, as the outcome of a turn: what is told, what is kept, which timers go with it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from bot.engine import log_words
from bot.engine.case import Observation
from bot.engine.facts import Facts
from bot.engine.log_learns import fell, learnt_of
from bot.engine.orders import Heard, record
from bot.engine.reply import Reminder, Reply
from bot.engine.stove_log import Log, Noted, counted

if TYPE_CHECKING:
    from bot.engine.turn import Outcome


def written(
    heard: Heard, log: Log, noted: Sequence[Noted], facts: Facts, begin: Mapping[str, Any] | None = None
) -> Outcome:
    """The log with these readings in it: what counts now, in words, with the timers that go with it."""
    after = log._replace(noted=tuple(sorted((*log.noted, *noted), key=lambda each: each.at)))
    count = counted(after, facts)
    was_done = bool(log.noted) and counted(log, facts).state == "done"
    lines = log_words.told(heard, log, after, count, noted, facts)
    entry: dict[str, Any] = {"read": [[each.at.isoformat(), each.lo, each.hi, each.by_clock] for each in noted]}
    if begin is not None:
        entry["begin"] = dict(begin)
    if was_done and count.state != "done":  # the heat went off at the end: this log cannot go on
        entry["end"] = True
        return kept(
            heard,
            after._replace(ended=True),
            [log_words.taken_back(heard, after, count, facts)],
            entry,
            fell(log.kind),
            facts,
        )
    return kept(heard, after, lines, entry, learnt_of(after, count) if count.state == "done" else (), facts)


def kept(
    heard: Heard, log: Log, lines: Sequence[str], entry: dict[str, Any], learnt: Sequence[Observation], facts: Facts
) -> Outcome:
    """What a change of a log leaves to be done. Timers that still fit run on; the others give way."""
    from bot.engine.turn import Outcome

    wanted = [] if log.ended else log_words.timers_of(heard.engine, log, counted(log, facts), heard.now)
    mine = log_words.timer_names(heard.engine)
    stays = [
        t
        for t in heard.timers
        if t.name in mine and any(t.name == w.name and abs(t.at - w.at) < timedelta(seconds=1) for w in wanted)
    ]
    stopped = tuple(t.id for t in heard.timers if t.name in mine and t not in stays)
    made = tuple(w for w in wanted if w.name not in {t.name for t in stays})
    reply = Reply("aside", tuple(lines), reminders=tuple(Reminder(t.at, t.says) for t in wanted))
    return Outcome(reply, record(heard, learnt, log=entry), timers=made, stopped=stopped)
