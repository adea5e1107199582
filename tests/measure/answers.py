"""What a person who knows the facts of a story says when a question is put: their own words, never looked up in the knowledge."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

Facts = Mapping[str, Any]
CANT_SAY = "Can't say"

PRODUCTS = {
    "pickle": "vinegar pickles", "relish": "relish", "ferment": "a ferment with salt only", "fruit": "fruit in syrup", "tomato": "plain tomatoes",
    "puree": "fruit sauce", "juice": "juice", "syrup": "syrup", "fruit-butter": "fruit butter",
}  # fmt: skip
MEATS = ("meat", "soup", "chicken", "beef", "pork", "venison", "fish", "salmon", "tuna", "stock", "broth", "stew", "chili con carne", "bacon", "ham")
METHODS = {
    "boiling-water": "boiled them under water", "steam": "a steam canner", "pressure": "a pressure canner", "low-temp": "the 180 degree bath",
    "low-temperature": "the 180 degree bath",
    "none": "nothing, lids on hot", "inverted": "turned them upside down", "oven": "in the oven", "dishwasher": "in the dishwasher",
}  # fmt: skip
SEALS = {"yes": "down, it does not move", "no": "up, it clicks when pressed", "let-go": "it was down and later came up", "opened": "we opened it"}
PLACES = {"room": "on the shelf", "fridge": "in the fridge", "freezer": "in the freezer"}
RECIPES = {"tested": "extension sheet", "tested for fridge": "extension sheet", "changed": "extension sheet", "untested": "my own recipe"}
TEMPERATURES = ("water_temp", "water_temperature", "water_temp_F")
UNTIMED = {None, "unknown"}


def text(facts: Facts, key: str) -> str | None:
    """A fact as words, or None when it is not known."""
    value = facts.get(key)
    return None if value is None or str(value).startswith("unknown") or value == "" else str(value)


def right(facts: Facts) -> bool:
    return facts.get("process_right") == "yes"


def food(facts: Facts) -> str:
    return text(facts, "food") or CANT_SAY


def product(facts: Facts) -> str:
    kind = text(facts, "product") or ""
    if kind == "low-acid":
        return "meat, fish or soup" if any(word in food(facts) for word in MEATS) else "plain vegetables"
    return PRODUCTS.get(kind, kind or CANT_SAY)


def unread(facts: Facts, fine: bool) -> str:
    """Whoever knows that nothing went wrong says so; whoever does not is in doubt."""
    return "No, nothing wrong" if fine else "Yes, I'll say it again"


def recipe_changes(facts: Facts) -> str:
    for key in ("change", "brine", "vinegar", "thickener"):
        told = text(facts, key)
        if key == "thickener":
            told = "thickened with flour" if told in ("yes", "True") else None
        if key in ("brine", "vinegar") and told and ("%" in told or told == "cloudy"):
            told = None
        if told:
            return "nothing changed" if told == "none" else told
    return "nothing changed" if str(facts.get("recipe", "")).startswith("tested") else CANT_SAY


def minutes(facts: Facts) -> str:
    told = text(facts, "minutes") or text(facts, "process_detail")
    if facts.get("process") in ("none", "inverted"):
        return "they were not boiled"
    if told is None:
        return "the full time for my height, by the timer" if right(facts) else CANT_SAY
    told = f"{told} minutes" if told.replace(".", "").isdigit() else told
    how = text(facts, "timer") or ("kitchen timer" if right(facts) or "timer" not in facts else "")
    height = altitude(facts)
    return ", ".join(part for part in (told, how, height) if part and part != CANT_SAY)


def altitude(facts: Facts) -> str:
    feet = facts.get("altitude_ft")
    if isinstance(feet, int | float):
        return f"{feet:g} ft"
    return CANT_SAY


def column(facts: Facts) -> str:
    if facts.get("altitude_adjusted") == "no":
        return "the sea-level one"
    return "the one for my height" if right(facts) or facts.get("altitude_adjusted") == "yes" else CANT_SAY


def boil(facts: Facts) -> str:
    told = text(facts, "boil") or text(facts, "boil_held")
    told = {"yes": "never stopped"}.get(str(told), told)
    if told is None:
        return "big bubbles over the lids to the end" if right(facts) else CANT_SAY
    if facts.get("water_over_lids") == "no":
        return "the lids were not always covered"
    return "big bubbles over the lids to the end" if told == "never stopped" else told


def opened(facts: Facts) -> str:
    days = text(facts, "opened_days")
    return CANT_SAY if days is None else "today" if days == "0" else f"{days} days ago"


def steam(facts: Facts) -> str:
    if str(facts.get("dome_opened", "no")).startswith("yes"):
        return "I opened it"
    vented = text(facts, "vented") or text(facts, "steam") or ""
    return "vented, full steam to the end" if right(facts) or (vented and not vented.startswith("no")) else CANT_SAY


def signs(facts: Facts) -> str:
    found = facts.get("spoilage_signs")
    if found is None or found == "unknown":
        return CANT_SAY
    told = [found] if isinstance(found, str) else list(found)
    lid = {"yes": ", lid down", "no": ", but the lid is up", "let-go": ", but the lid is up"}.get(str(facts.get("sealed")), "")
    if facts.get("process") == "none" and facts.get("storage") != "room":
        lid = ""  # a tub in the fridge has no lid to judge
    return ", ".join(str(each).replace("-", " ") for each in told) if told else f"none of these{lid}"


def ended(facts: Facts) -> str:
    hours = facts.get("hours_since_process")
    if not isinstance(hours, int | float) and isinstance(facts.get("ferment_days"), int | float):
        hours = facts["ferment_days"] * 24
    if not isinstance(hours, int | float):
        return CANT_SAY
    return f"{hours:g} hours ago" if hours < 72 else f"{hours / 24:.4g} days ago"


def warm(facts: Facts) -> str:
    hours = facts.get("warm_before_cold", facts.get("chilled_within_hours"))
    if not isinstance(hours, int | float):
        return text(facts, "warm_before_cold") or ("under 2 hours" if facts.get("intended") == "fridge" else CANT_SAY)
    return "under 2 hours" if hours < 2 else "2 to 24 hours" if hours < 24 else "longer"


def kept_as(facts: Facts) -> str:
    kept = (text(facts, "kept_for") or text(facts, "intended") or "").partition(",")[0]
    return {"fridge": "the fridge", "freezer": "the freezer", "crock": "it is a live ferment", "shelf": "the shelf"}.get(kept, CANT_SAY)


def vinegar(facts: Facts) -> str:
    told = text(facts, "vinegar") or ""
    if "%" in told:
        return told
    return "5%" if str(facts.get("recipe")).startswith("tested") and facts.get("product") in ("pickle", "relish") and not told else CANT_SAY


def jar(facts: Facts) -> str:
    return text(facts, "jar") or text(facts, "jar_size") or CANT_SAY


def yes_no(key: str, yes: str = "yes", no: str = "no") -> Callable[[Facts], str]:
    def answer(facts: Facts) -> str:
        told = text(facts, key)
        if told is None:
            return CANT_SAY
        return no if told in ("no", "none", "False", "[]") else yes if told in ("yes", "True") else told

    return answer


def pressure(facts: Facts) -> str:
    told = text(facts, "pressure_run") or text(facts, "pressure")
    if right(facts):
        return "vented, held for my height"
    if told is None:
        return "held for my height, vented" if right(facts) else CANT_SAY
    held = any(word in told for word in ("never", "until", "steady", "held", "throughout", "the whole"))
    return "vented, held for my height" if held and facts.get("vented") != "no" and "altitude_adjusted" not in facts else told


def named(key: str, words: Mapping[str, str]) -> Callable[[Facts], str]:
    return lambda facts: words.get(str(facts.get(key)), text(facts, key) or CANT_SAY)


ANSWERS: dict[str, Callable[[Facts], str]] = {
    "food": food,
    "product": product,
    "recipe-source": lambda facts: RECIPES.get(str(facts.get("recipe")), CANT_SAY),
    "recipe-changes": recipe_changes,
    "process-method": named("process", METHODS),
    "process-minutes": minutes,
    "time-as-printed": lambda facts: minutes(facts) if right(facts) else text(facts, "printed_minutes") or CANT_SAY,
    "process-timer": lambda facts: text(facts, "timer") or CANT_SAY,
    "altitude": altitude,
    "time-for-height": column,
    "boil-held": boil,
    "water-over-lids": yes_no("water_over_lids", "over the lids", "below the lids for a while"),
    "jar-size": jar,
    "pack": named("pack", {"hot": "hot", "raw": "raw"}),
    "jars-boiled-first": lambda facts: yes_no("jars_boiled_first" if "jars_boiled_first" in facts else "jars_sterile", "boiled 10 minutes", "washed and hot only")(facts),
    "acid-added": yes_no("acid_added", "bottled lemon juice as printed", "none"),
    "vinegar-strength": vinegar,
    "thickener": yes_no("thickener"),
    "pectin": named("pectin", {}),
    "sealed": named("sealed", SEALS),
    "seal-test": named("seal_test", {}),
    "hours-since-process": ended,
    "storage": named("storage", PLACES),
    "kept-as": kept_as,
    "warm-before-cold": warm,
    "liquid-lost": named("liquid_lost", {"none": "where it was", "under half": "above the middle", "half or more": "the middle or below"}),
    "spoilage-signs": signs,
    "eaten": yes_no("eaten", "yes", "no"),
    "symptoms": yes_no("symptoms", "yes", "nobody is unwell"),
    "steam-run": steam,
    "soured": named("sour", {"yes": "yes, clean and sour", "no": "no, like raw vegetables"}),
    "opened-when": opened,
    "since-opened": named("storage", {"room": "out of the fridge", "fridge": "in the fridge"}),
    "full-sugar": named("sugar", {}),
    "pressure-run": pressure,
    "bath-temperature": lambda facts: next((f"{told}" + (" F" if key == "water_temp_F" else "") for key in TEMPERATURES if (told := text(facts, key))), CANT_SAY),
}


def answer(facts: Facts, asked: str, fine: bool = False) -> str:
    """The words for the evidence that is asked about; what the story does not know is "can't say". `fine`: nothing went wrong."""
    if asked == "not-read":
        return unread(facts, fine)
    if asked == "time-as-printed" and fine:
        return minutes(facts)  # what was done is what was printed
    return ANSWERS[asked](facts) if asked in ANSWERS else text(facts, asked.replace("-", "_")) or CANT_SAY
