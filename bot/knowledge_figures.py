"""Are the tables of the kitchen arithmetic filled in right? Fields, numbers and spans of each row, with file and line.

A slip in a figure would otherwise show only when somebody asks for it, and then in the middle of a conversation.
"""

from __future__ import annotations

from typing import Any

from bot.engine.kitchen_tables import number
from bot.kitchen.acidity import MEASURES
from bot.located_yaml import Entry, Fault, did_you_mean

NUMBER, SPAN, TEXT, WORDS = "a number", "a number or two in brackets", "a text", "words in brackets"
Field = str | tuple[str, ...]

# (table, group) -> the fields of its rows. A field with a question mark may be left out; a tuple holds the words that it may be.
FIGURES: dict[tuple[str, str], dict[str, Field]] = {
    ("acid-minimums", "rows"): {"measure": MEASURES, "least": NUMBER, "holds_for": TEXT},
    ("tested-liquids", "rows"): {"recipe": TEXT, "acid_cups": NUMBER, "water_cups": NUMBER, "pints": SPAN},
    ("water-in-food", "rows"): {"food": TEXT, "water": NUMBER},
    ("water-in-food", "pieces"): {"grams_per_ml": SPAN},
    ("water-in-food", "dissolved"): {"ml_per_g": NUMBER},
    ("salt-weights", "rows"): {"name": TEXT, "grams_per_tsp": SPAN, "grams_per_cup": SPAN},
    ("salt-aims", "rows"): {"of": TEXT, "per_cent": SPAN},
    ("calcium-chloride", "rows"): {"teaspoons": NUMBER},
    ("jar-shapes", "rows"): {
        **{"size": TEXT, "mouth": ("regular", "wide")},
        **dict.fromkeys(("holds_ml", "body_mm", "neck_mm", "off"), NUMBER),
    },
    ("jar-shapes", "shrinks"): {"per_cent": NUMBER},
    ("jar-shapes", "pieces"): {"per_cent": SPAN},
    ("jar-shapes", "fingers"): {"mm": SPAN},
    ("cup-weights", "rows"): {"food": TEXT, "cut": TEXT, "grams_per_cup": SPAN, "within?": NUMBER},
    ("timers", "rows"): {"name": TEXT, "called": WORDS, "minutes?": NUMBER, "due": TEXT},
}


def check_figures(plain: Entry) -> list[Fault]:
    """Faults of the tables that the kitchen arithmetic reads. Sources are checked with those of all other rows."""
    faults: list[Fault] = []
    for (table, group), fields in FIGURES.items():
        rows = (plain["tables"].get(table) or {}).get(group)
        if not isinstance(rows, Entry):
            continue
        for name, row in rows.items():
            faults += _row(row, fields) if isinstance(row, Entry) else [_fault(rows, name, f"'{name}' is not a row")]
    return faults


def _row(row: Entry, fields: dict[str, Field]) -> list[Fault]:
    known = {name.removesuffix("?"): field for name, field in fields.items()}
    todo = "it is compulsory: without it nothing can be worked out"
    missing = [each for each in fields if not each.endswith("?") and each not in row]
    faults = [Fault(row.file, row.line, f"this row of a table needs '{each}'", todo) for each in missing]
    for name, value in row.items():
        if name == "sources":
            continue
        if name not in known:
            faults.append(_fault(row, name, f"'{name}' is not a field of this table", did_you_mean(name, known)))
        elif not _fits(value, known[name]):
            faults.append(_misfit(row, name, known[name]))
    return faults


def _misfit(row: Entry, name: str, field: Field) -> Fault:
    if isinstance(field, tuple):
        return _fault(row, name, f"'{name}' should be one of {', '.join(field)}", did_you_mean(str(row[name]), field))
    return _fault(row, name, f"'{name}' should be {field}", "write digits only, smaller figure first")


def _fits(value: Any, field: Field) -> bool:
    if field == WORDS:
        return isinstance(value, list) and all(isinstance(each, str) for each in value)
    if field == TEXT or isinstance(field, tuple):
        return isinstance(value, str) and (field == TEXT or value in field)
    if isinstance(value, list) and (field != SPAN or len(value) != 2):
        return False
    try:
        ends = [number(each) for each in (value if isinstance(value, list) else [value])]
    except (ValueError, AttributeError):
        return False
    return ends == sorted(ends)


def _fault(entry: Entry, name: str, what: str, todo: str = "give its fields in braces") -> Fault:
    return Fault(entry.file, entry.at(name), what, todo)
