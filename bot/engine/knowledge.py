"""The records that knowledge/ is read into: these classes are the schema, and hold no behaviour.

Field names are those of the YAML files (a trailing underscore only avoids a Python word). DEVELOPERS.md explains each field;
a test holds that table and these classes to one another.
"""

from __future__ import annotations

from dataclasses import dataclass, field

# evidence id (or computed fact) -> answers that satisfy it. "under 48 h" style texts stand as the single answer of a clock.
Condition = dict[str, tuple[str, ...]]
Limits = dict[str, float]  # clock name -> hours; an empty mapping sets no limit

ACTS = ("shelf", "reprocess", "fridge", "freeze")  # best first
CLOCKS = ("since", "warm", "cold")
COMPUTED = {
    "acidity": ("acid", "pickled", "needs-acid", "no-process", "low"),
    "minutes-enough": ("enough", "short"),
    "gel-point": ("below", "at", "past"),
}
CANT_SAY = "can't say"


@dataclass(frozen=True, slots=True)
class Source:
    id: str
    title: str
    publisher: str
    year: str
    kind: str
    short: str = ""


@dataclass(frozen=True, slots=True)
class Phrase:
    text: str
    weight: int = 2


@dataclass(frozen=True, slots=True)
class Answer:
    id: str
    label: str
    says: str
    heard_as: tuple[Phrase, ...] = ()
    from_: float | None = None
    to: float | None = None
    also: Condition = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Silence:
    """What silence about an evidence means; never what "not sure" means."""

    answer: str
    because: str
    if_: tuple[Condition, ...] = ()
    covered_by: tuple[Condition, ...] = ()


@dataclass(frozen=True, slots=True)
class Evidence:
    id: str
    asks: str
    why: str
    of: str
    kind: str
    answers: dict[str, Answer]
    sources: tuple[str, ...]
    near: tuple[Phrase, ...] = ()
    asked_if: tuple[Condition, ...] = ()
    effort: int = 1
    safety: bool = False
    silent: Silence | None = None
    danger: tuple[str, ...] = ()
    in_doubt: str | None = None
    stands: tuple[str, ...] = ()
    implies: Condition = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence told to a person, with where it comes from and when it holds."""

    says: str
    sources: tuple[str, ...]
    if_: tuple[Condition, ...] = ()


@dataclass(frozen=True, slots=True)
class Sign:
    evidence: str
    answer: tuple[str, ...]
    speaks: str
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Fix:
    id: str
    says: str
    when: str
    sources: tuple[str, ...]
    act: str | None = None
    if_: tuple[Condition, ...] = ()
    order: int = 5


@dataclass(frozen=True, slots=True)
class Cause:
    id: str
    says: str
    how_common: str
    sources: tuple[str, ...]
    applies: tuple[Condition, ...] = ()
    signs: tuple[Sign, ...] = ()
    fixes: tuple[str, ...] = ()
    next_time: tuple[Said, ...] = ()


@dataclass(frozen=True, slots=True)
class Problem:
    id: str
    title: str
    short: str
    stage: str
    flaw: str
    products: tuple[str, ...]
    heard_as: tuple[Phrase, ...]
    causes: dict[str, Cause]
    fixes: dict[str, Fix]
    safety_note: Said
    reviewed: str
    not_heard_as: tuple[Phrase, ...] = ()
    implies: Condition = field(default_factory=dict)
    first: tuple[Said, ...] = ()
    diagnosis: bool = True


@dataclass(frozen=True, slots=True)
class Rule:
    id: str
    says: str
    clear_if: tuple[Condition, ...]
    leaves: dict[str, Limits]
    sources: tuple[str, ...]
    handle: str | None = None
    problem: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class RuleException:
    id: str
    softens: str
    says: str
    if_: tuple[Condition, ...]
    leaves: dict[str, Limits]
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Food:
    id: str
    name: str
    words: tuple[str, ...]
    acidity: str
    sources: tuple[str, ...]
    with_acid: tuple[str, ...] = ()
    usual_product: str | None = None
    product: str | None = None
    gel: str | None = None
    needs_lemon: bool = False
    slow_set: bool = False
    note: Said | None = None


@dataclass(frozen=True, slots=True)
class Asked:
    """A question people ask before the deed, and its short answer."""

    id: str
    heard_as: tuple[Phrase, ...]
    says: str
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Knowledge:
    sources: dict[str, Source]
    concepts: dict[str, tuple[str, ...]]
    evidence: dict[str, Evidence]
    problems: dict[str, Problem]
    rules: dict[str, Rule]
    exceptions: dict[str, RuleException]
    foods: dict[str, Food]
    asked: dict[str, Asked]
    replies: dict[str, Said]
    strengths: dict[str, float]
    how_common: dict[str, float]
    tables: dict[str, object]
    ordinary: frozenset[str]
    version: str
