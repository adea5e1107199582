"""The first replies that must be right, through the JSON lines. Each names the publication its figure comes from."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from tests.conversation import Talk, first_line, talk_of

DISCARD = {"discard", "discard-hazard"}
CANNOT_BE_EATEN = {"ask-expert", *DISCARD}
RIGHT_PROCESS = {
    "food": "strawberry jam",
    "product": "jam",
    "recipe-source": "the leaflet in the pectin packet",
    "recipe-changes": "none",
    "process-method": "boiled under water",
    "process-minutes": "10 minutes by timer",
    "process-timer": "kitchen timer",
    "boil-held": "Big bubbles over the lids",
    "water-over-lids": "over the lids",
    "altitude": "300 ft",
    "jar-size": "half pints",
    "jars-boiled-first": "washed and hot",
    "spoilage-signs": "None of these",
    "sealed": "down",
    "hours-since-process": "yesterday evening at 8",
    "storage": "on the counter",
}


# -- in the pot: USDA Complete Guide, Guide 7 (gel point 8 °F above boiling water; table by altitude) ---------------
def test_at_5200_feet_215_is_past_the_gel_point_so_boiling_on_is_refused():
    reply = talk_of("help no trail on the plate, been boiling 25 min, thermometer says 215, we are at 5200 ft").replies[0]
    assert "off the heat" in first_line(reply).lower()
    assert "210" in reply["text"]
    assert "220" in reply["text"] or "do not boil" in reply["text"].lower()
    assert "3 more minutes" not in reply["text"]
    assert reply["problems"] == ["no-trail-on-plate"]
    assert reply["verdicts"] == [] and reply["verdict"] is None
    heard = {h["evidence"]: h["answer"] for h in reply["heard"]}
    assert heard["altitude"] == "5200 ft" and heard["thermometer-reading"] == "215 F"


def test_at_sea_level_the_same_words_get_both_branches_in_the_first_reply():
    reply = talk_of("help no trail on the plate, been boiling 25 min, thermometer says 215, we are at sea level").replies[0]
    text = reply["text"].lower()
    assert "off the heat" in first_line(reply).lower()
    assert "3 more minutes" in text and "test again" in text
    assert "fruit and sugar" in text and "packet pectin" in text and "stop and fill" in text


# -- an unsealed lid: USDA Guide 1, reprocessing unsealed jars (24 h); Nebraska and Iowa extension (2 h) -------------
ONE_OF_SIX = "one of my six lids is still up, jars came out about 9 last night"


def test_one_lid_up_is_held_cold_first_and_the_other_five_are_spoken_of_apart():
    reply = talk_of(ONE_OF_SIX).replies[0]
    assert "fridge" in first_line(reply).lower()
    assert {v["jars"] for v in reply["verdicts"]} == {"the one that did not seal", "the other five"}
    assert all(v["outcome"] == "ask-expert" and not v["settled"] for v in reply["verdicts"])
    assert reply["verdict"]["jars"] == "the one that did not seal"


def test_after_a_right_process_it_may_boil_again_until_24_hours_from_the_earliest_nine():
    talk = talk_of(ONE_OF_SIX)
    reply = talk.until_done(RIGHT_PROCESS)
    one, five = reply["verdicts"]
    assert one["outcome"] == "reprocess-now" and one["settled"]
    assert one["until"] == "2026-07-14T20:30:00-05:00"  # 24 h from 20:30, the earliest reading of "about 9"
    assert one["start_by"] == "2026-07-14T19:30:00-05:00"
    assert five["outcome"] == "shelf-ok"
    assert "20:30" in reply["text"]
    assert len(talk.asked) <= 5


def test_five_minutes_instead_of_ten_is_asked_about_sterile_jars_and_height_first():
    talk = talk_of(ONE_OF_SIX, "strawberry jam. I only did 5 minutes instead of 10")
    assert all(r["verdict"]["outcome"] == "ask-expert" for r in talk.replies)
    talk.until_done(RIGHT_PROCESS | {"jars-boiled-first": "boiled 10 minutes"})
    assert {"altitude", "jars-boiled-first"} <= set(talk.asked)
    assert talk.replies[-1]["verdict"]["outcome"] == "reprocess-now"


def test_five_minutes_in_jars_that_were_not_boiled_falls_under_the_two_hour_rule():
    talk = talk_of(ONE_OF_SIX, "strawberry jam. I only did 5 minutes instead of 10")
    reply = talk.until_done(RIGHT_PROCESS)
    assert reply["verdict"]["outcome"] in DISCARD
    assert all(v["outcome"] in DISCARD for v in reply["verdicts"])
    assert "2 h" in reply["text"] or "two hours" in reply["text"].lower()


# -- jam that did not set ---------------------------------------------------------------------------------------------
@pytest.mark.parametrize("food", ["fig jam", "white peach jam", "elderberry jam"])
def test_fruit_short_of_acid_is_a_safety_matter_and_gets_no_remake(food):
    talk = talk_of("jam didn't set, lids fine")
    assert talk.replies[0]["verdict"]["outcome"] == "ask-expert"
    reply = talk.until_done(RIGHT_PROCESS | {"food": food, "acid-added": "none"})
    assert reply["verdict"]["outcome"] in CANNOT_BE_EATEN
    assert not any("pectin" in f["says"] for f in reply["fixes"])


def test_soft_jam_of_acid_fruit_is_safe_once_the_process_is_known_and_can_be_remade():
    talk = talk_of("jam didn't set, lids fine")
    reply = talk.until_done(RIGHT_PROCESS | {"pectin": "powder", "jar-count": "6 half pints"})
    assert reply["verdict"]["outcome"] == "quality-only"
    fixes = " ".join(f["says"] for f in reply["fixes"])
    assert "syrup" in fixes.lower() and "lemon" in fixes.lower() and "pectin" in fixes.lower()


# -- cloudy brine -----------------------------------------------------------------------------------------------------
PICKLE_FACTS = RIGHT_PROCESS | {
    "food": "cucumbers",
    "product": "vinegar pickles",
    "recipe-source": "extension sheet",
    "vinegar-strength": "5%",
    "salt-kind": "table salt",
    "hours-in-store": "on day one",
    "hours-since-process": "three weeks ago",
    "jar-size": "pints",
    "process-minutes": "15 minutes by timer",
    "pack": "raw",
}


def test_cloudy_brine_with_table_salt_and_sound_lids_ends_as_looks_only():
    talk = talk_of("brine went cloudy")
    reply = talk.until_done(PICKLE_FACTS, most=14)
    assert {"salt-kind", "hours-in-store", "spoilage-signs"} & set(talk.asked)
    assert reply["verdict"]["outcome"] == "quality-only"


@pytest.mark.parametrize(
    "sign", ["it is slimy", "bubbles rising in the jar", "the lid is bulging", "the seal has gone, lid came loose in the cupboard"]
)
def test_cloudy_brine_with_slime_gas_or_a_lost_seal_ends_in_the_bin(sign):
    talk = talk_of("brine went cloudy on my dill pickles in vinegar, " + sign)
    assert talk.until_done(PICKLE_FACTS)["verdict"]["outcome"] in DISCARD


# -- liquid lost: national center and Nebraska (more than half), Clemson (half or more): half counts --------------------
def test_half_the_liquid_lost_in_sealed_jars_goes_to_the_fridge_and_names_both_publications():
    talk = talk_of("lost half the liquid in two jars of peaches but they sealed, took them out this morning")
    reply = talk.until_done(
        RIGHT_PROCESS
        | {"food": "yellow peaches", "product": "fruit in syrup", "recipe-source": "extension sheet", "jar-size": "pints",
           "process-minutes": "25 minutes by timer", "pack": "raw", "hours-since-process": "2 hours ago"},
    )  # fmt: skip
    assert reply["verdict"]["outcome"] == "fridge-use-soon"
    why = talk.say("why")["text"]
    assert "half" in why and "Clemson" in why and "national center" in why.lower()


# -- soft and slippery ------------------------------------------------------------------------------------------------
def test_soft_and_slippery_pickles_are_thrown_out():
    reply = talk_of("pickles are soft and slippery").replies[0]
    assert reply["verdict"]["outcome"] in DISCARD


def test_soft_alone_is_a_flaw_of_texture():
    talk = talk_of("my dills went soft, not slimy at all, lids tight")
    reply = talk.until_done(PICKLE_FACTS, most=14)
    assert reply["verdict"]["outcome"] == "quality-only"


# -- low-acid food: MMWR 2019, home-canned peas -------------------------------------------------------------------------
def test_green_beans_in_a_boiling_water_bath_are_a_hazard_at_once():
    reply = talk_of("green beans in a boiling water bath last week, all sealed").replies[0]
    assert reply["verdict"]["outcome"] == "discard-hazard" and reply["verdict"]["settled"]
    assert reply["kind"] == "urgent" and "low-acid-risk" in reply["problems"]
    assert "bag" in reply["text"].lower() and "throw out" in first_line(reply).lower()


def test_when_the_jam_turns_out_to_be_peas_everything_allowed_is_withdrawn_in_the_first_line():
    talk = talk_of("Made jam, one jar did not seal, in the fridge since")
    talk.until_done(RIGHT_PROCESS | {"hours-since-process": "5 hours ago", "warm-before-cold": "Under 2 hours"})
    reply = talk.say("oh, they were peas")
    assert reply["verdict"]["outcome"] in CANNOT_BE_EATEN
    first = first_line(reply).lower()
    assert "no longer holds" in first or "throw out" in first or "do not eat" in first


def test_seeing_double_gets_medical_help_in_the_first_line():
    talk = talk_of("green beans in a boiling water bath last week, all sealed")
    reply = talk.say("We ate them yesterday and I'm seeing double")
    assert reply["kind"] == "urgent" and reply["problems"][0] == "illness"
    assert "emergency number" in first_line(reply).lower()


def test_seeing_double_as_the_very_first_message_gets_medical_help_too():
    reply = talk_of("we ate home canned beans yesterday and I'm seeing double").replies[0]
    assert "emergency number" in first_line(reply).lower()


# -- not ours -----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("text", ["how do I get jam off a carpet", "what's a good jam doughnut recipe", "traffic jam"])
def test_what_is_not_about_preserves_is_politely_refused(text):
    reply = talk_of(text).replies[0]
    assert reply["kind"] == "out-of-scope"
    assert "help with" in reply["text"] and reply["verdict"] is None


@pytest.mark.parametrize(("sent", "outcomes"), [("20:29", {"reprocess-now"}), ("20:30", CANNOT_BE_EATEN), ("22:00", DISCARD)])
def test_the_deadline_runs_from_the_earliest_nine_to_the_time_the_message_was_sent(sent, outcomes):
    talk = Talk(datetime.fromisoformat(f"2026-07-14T{sent}:00-05:00"))
    talk.say(ONE_OF_SIX + ", strawberry jam, rolling boil over the lids, 10 minutes by timer at 300 ft, nothing changed", later=timedelta(0))
    while talk.replies[-1]["question"] and len(talk.replies) < 10:
        talk.say(RIGHT_PROCESS.get(talk.replies[-1]["question"]["evidence"], "can't say"), later=timedelta(0))
    assert talk.replies[-1]["verdicts"][0]["outcome"] in outcomes
