"""Properties 4 and 5: the order of turns about different facts does not matter, and undo leaves nothing behind."""

from __future__ import annotations

from bot.app import App
from bot.engine.turn import Engine
from bot.store import MEMORY, Store
from tests.engine.tellings import NOW, knowledge


def test_undo_in_a_chat_takes_back_all_that_the_message_told() -> None:
    app = App(Engine(knowledge()), Store(MEMORY))
    first = "2 of my 7 jars of strawberry jam did not seal"
    for n, message in enumerate(
        ("they boiled for 10 minutes", "they are in the fridge", "I live at 400 ft", "there is mould in one")
    ):
        for chat, texts in ((f"undone {n}", (first, message, "undo")), (f"never {n}", (first,))):
            for text in texts:
                app.answer(chat, text, NOW)
        chats = (f"undone {n}", f"never {n}")
        left, never = (app.engine.case(app.store.load(chat), app.store.kitchen(chat)).beliefs for chat in chats)
        assert left == never, message
    app.store.close()
