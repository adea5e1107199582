"""One turn with its side effects: load the batch, run the engine, save, hand back the reply. Saved before it is sent."""

from __future__ import annotations

import logging
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from bot.engine.reply import Reply
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
                outcome = self.engine.turn(turns, self.store.kitchen(chat), text, at)
                self._keep(chat, turns, outcome)
            return outcome.reply
        except Exception:
            log.exception("a turn failed")
            self._keep_failed(chat, text, at)
            return aside(self.engine.text("cant-assess"), "answer")

    def tick(self, chat: str, at: datetime) -> Reply:
        """Reminders that fell due by `at`, each told once; an empty reply when none did."""
        try:
            with self.store.turn(chat):
                due = self.store.due(chat, at.astimezone(UTC).isoformat())
        except Exception:
            log.exception("reminders could not be read")
            due = []
        late = (at.astimezone(UTC) - LATE).isoformat()
        said = tuple(says for _, says in due)
        if any(when < late for when, _ in due):
            said += (self.engine.text("remind-late"),)
        return Reply("aside", said, done=True)

    def _keep(self, chat: str, turns: list[dict[str, Any]], outcome: Outcome) -> None:
        store = self.store
        if outcome.forget:
            store.forget(chat)
            return
        if outcome.undo:
            store.mark_undone(chat, turns[-1]["turn_id"])
        case = store.new_case(chat) if outcome.new_case and turns else store.open_case(chat)
        if outcome.record is not None:
            store.append(chat, case, outcome.record["at"], outcome.record)
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
