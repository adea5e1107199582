"""Property 7: as a fact gets worse, the deadline of an act moves earlier or stays, or the act is gone; and gone it stays."""

from __future__ import annotations

from bot.engine.facts import YES
from bot.engine.safety import deadline, judge
from tests.engine.sound_jars import sound_jars
from tests.engine.tellings import CLOCK, answer, hours_ago


def test_a_jar_that_did_not_seal_has_a_deadline_and_a_sound_one_has_none() -> None:
    sound = sound_jars()[0].with_(hours_ago(1.0), answer("storage", "room"))
    unsealed = sound.with_(answer("sealed", "no"))
    assert deadline(judge(sound.facts), "reprocess", sound.facts) is None
    until = deadline(judge(unsealed.facts), "reprocess", unsealed.facts)
    assert judge(unsealed.facts).acts["reprocess"] == YES
    assert until is not None and (until - unsealed.facts.now).total_seconds() == 23 * 3600
    assert str(sound.told[CLOCK]).endswith(": 1")
