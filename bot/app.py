"""One turn with its side effects: load the batch, run the engine, save, hand back the reply. Saved before it is sent."""

from __future__ import annotations

import logging
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from bot.engine import timers
from bot.engine.reply import Reminder, Reply, Timer
from bot.engine.turn import Engine, Outcome
from bot.engine.wording import aside

if TYPE_CHECKING:
    from bot.store import Store

log = logging.getLogger("lidside")
LATE = timedelta(hours=1)  # a reminder told later than this is told as late: the deadline in it has passed


class App:
    """lidside for many chats over one store."""

    def __init__(self, engine: Engine, store: Store) -> None:
        self.engine, self.store = engine, store

    def answer(self, chat: str, text: str, at: datetime) -> Reply:
        """The reply to one message. Whatever goes wrong inside, the person gets a sentence that errs on the safe side."""
        try:
            with self.store.turn(chat):
                turns = self.store.load(chat)
                outcome = self.engine.turn(turns, self.store.kitchen(chat), text, at, self._running(chat))
                self._keep(chat, turns, outcome)
            return outcome.reply
        except Exception:
            log.exception("a turn failed")
            self._keep_failed(chat, text, at)
            return aside(self.engine.text("cant-assess"), "answer")

    def tick(self, chat: str, at: datetime) -> Reply:
        """Reminders and timers that fell due by `at`, each told once, in the order they fell due; an empty reply when none did."""
        by = at.astimezone(UTC).isoformat()
        try:
            if not self.store.anything_due(chat, by):
                return Reply("aside", (), done=True)
            with self.store.turn(chat):
                due, up = self.store.due(chat, by), self.store.timers_due(chat, by)
        except Exception:
            log.exception("reminders could not be read")
            return Reply("aside", (), done=True)
        rung = [(when, timers.when_due(self.engine, Timer(name, datetime.fromisoformat(when), says), at)) for when, name, says in up]
        said = tuple(says for _, says in sorted([*due, *rung], key=lambda each: each[0]))
        late = (at.astimezone(UTC) - LATE).isoformat()
        if any(when < late for when, _ in due):
            said += (self.engine.text("remind-late"),)
        return Reply("aside", said, done=True)

    def running(self, chat: str, at: datetime) -> Reply:
        """The timers that run at `at`, for a channel that shows them: one a line, and as reminders that say the name only.

        An empty reply when none runs.
        """
        try:
            found = [timer for timer in self._running(chat) if timer.id]
        except Exception:
            log.exception("timers could not be read")
            found = []
        names = tuple(Reminder(timer.at.astimezone(at.tzinfo), timer.name) for timer in found)
        return timers.running(self.engine, found, at)._replace(reminders=names) if found else Reply("aside", (), done=True)

    def _running(self, chat: str) -> list[Timer]:
        """Timers of the chat, and the reminders of its open batch, which have no id."""
        stored = [Timer(name, datetime.fromisoformat(at), says, id_) for id_, name, at, says in self.store.timers(chat)]
        return stored + [Timer("", datetime.fromisoformat(at), says) for at, says in self.store.to_come(chat)]

    def _keep(self, chat: str, turns: list[dict[str, Any]], outcome: Outcome) -> None:
        store = self.store
        if outcome.forget:
            store.forget(chat)
            return
        if outcome.undo:
            store.mark_undone(chat, turns[-1]["turn_id"])
        case = store.new_case(chat) if outcome.new_case and turns else store.open_case(chat)
        if outcome.record is not None:
            turn = store.append(chat, case, outcome.record["at"], outcome.record)
            for timer in outcome.timers:
                store.set_timer(chat, turn, timer.name, timer.at.astimezone(UTC).isoformat(), timer.says)
            for timer_id in outcome.stopped:
                store.stop_timer(chat, timer_id, turn)
        for key, value in outcome.kitchen.items():
            store.set_kitchen(chat, key, value)
        if outcome.reminders is not None:
            reminders = [(r.at.astimezone(UTC).isoformat(), r.says) for r in outcome.reminders]
            store.replace_reminders(chat, case, reminders)

    def _keep_failed(self, chat: str, text: str, at: datetime) -> None:
        record = {"at": at.isoformat(), "text": text[:6000], "observations": [], "problems": [], "failed": True}
        try:
            with self.store.turn(chat):
                self.store.append(chat, self.store.open_case(chat), at.isoformat(), record)
        except Exception:  # the store itself may be what failed; the sentence still goes out
            log.exception("the failed turn could not be kept")
