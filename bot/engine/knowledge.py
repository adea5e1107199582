"""The records that knowledge/ is read into: these classes are the schema, and hold no behaviour.

Field names are those of the YAML files (a trailing underscore only avoids a Python word). DEVELOPERS.md explains each field;
a test holds that table and these classes to one another.
"""

from typing import NamedTuple

# evidence id (or computed fact) -> answers that satisfy it. "under 48 h" style texts stand as the single answer of a clock.
Condition = dict[str, tuple[str, ...]]
NO_CONDITION: Condition = {}
NO_LEXICON: dict[str, object] = {}
LINE = "\x7f"  # between lines in the compiled copy: it cannot stand in YAML, and JSON does not have to escape it
Limits = dict[str, float]  # clock name -> hours; an empty mapping sets no limit

ACTS = ("shelf", "reprocess", "fridge", "freeze")  # best first
CLOCKS = ("since", "warm", "cold", "open")
COMPUTED = {
    "acidity": ("acid", "pickled", "needs-acid", "no-process", "low", "never"),
    "minutes-enough": ("enough", "short"),
    "gel-point": ("below", "at", "past"),
}
# Evidence that computed facts and clocks are worked out from: a rule reads these without naming them.
BEHIND = {
    "acidity": ("food", "product"),
    "minutes-enough": (
        "food", "product", "altitude", "jar-size", "pack", "packed-in", "full-sugar", "jars-boiled-first", "process-method", "process-minutes",
        "process-timer", "time-as-printed", "time-for-height",
    ),
    "gel-point": ("altitude", "thermometer-reading"),
    **dict.fromkeys(("since", "warm", "cold"), ("hours-since-process", "storage", "warm-before-cold")),
    "open": ("opened-when",),
}  # fmt: skip
# Figures that texts may ask for in braces; engine/sums.py works them out.
SUMS = (
    "until", "boil_by", "start_by", "water_boils", "gel_point", "minutes", "jars", "wait", "remake_powder", "remake_liquid",
    "remake_none",
)  # fmt: skip


class Source(NamedTuple):
    """A publication, or the practice or reckoning that stands for one."""

    id: str
    title: str
    publisher: str
    year: str
    kind: str
    short: str = ""
    superseded: bool = False


class Phrase(NamedTuple):
    """Words people say, with how much they weigh (1 hint, 2 fits, 3 says exactly this)."""

    text: str
    weight: int = 2


class Answer(NamedTuple):
    """One answer of a piece of evidence; number answers are cells from <= x < to."""

    id: str
    label: str
    says: str
    heard_as: tuple[Phrase, ...] = ()
    answered_as: tuple[Phrase, ...] = ()
    from_: float | None = None
    to: float | None = None
    also: Condition = NO_CONDITION
    leaves_open: bool = False  # tapping it settles nothing: it counts as "can't say"
    if_listed: bool = False  # of products: assumed unasked only for foods that list it


class Silence(NamedTuple):
    """What silence about an evidence means; never what "not sure" means."""

    answer: str
    because: str
    if_: tuple[Condition, ...] = ()
    covered_by: tuple[Condition, ...] = ()


class Evidence(NamedTuple):
    """One observable thing: its question, its answers, and what silence or doubt about it means."""

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
    implies: Condition = NO_CONDITION


class Said(NamedTuple):
    """A sentence told to a person, with where it comes from and when it holds."""

    says: str
    sources: tuple[str, ...]
    if_: tuple[Condition, ...] = ()


class Sign(NamedTuple):
    """How strongly an answer speaks for or against a cause."""

    evidence: str
    answer: tuple[str, ...]
    speaks: str
    sources: tuple[str, ...]


class Fix(NamedTuple):
    """One thing to do with this batch, told only while its act is allowed and its conditions hold."""

    id: str
    says: str
    when: str
    sources: tuple[str, ...]
    act: str | None = None
    if_: tuple[Condition, ...] = ()
    order: int = 5


class Cause(NamedTuple):
    """One possible cause of a problem."""

    id: str
    says: str
    how_common: str
    sources: tuple[str, ...]
    applies: tuple[Condition, ...] = ()
    signs: tuple[Sign, ...] = ()
    fixes: tuple[str, ...] = ()
    next_time: tuple[Said, ...] = ()


class Problem(NamedTuple):
    """A trouble people write about, with its causes and fixes."""

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
    implies: Condition = NO_CONDITION
    first: tuple[Said, ...] = ()
    diagnosis: bool = True


class Rule(NamedTuple):
    """A safety rule: what clears it, and what may still be done while it is not cleared."""

    id: str
    says: str
    clear_if: tuple[Condition, ...]
    leaves: dict[str, Limits]
    sources: tuple[str, ...]
    handle: str | None = None
    problem: str | None = None
    note: str | None = None

    @property
    def only_handling(self) -> bool:
        """It takes nothing away, and says how what is thrown out is to be handled."""
        return len(self.leaves) == len(ACTS)


class RuleException(NamedTuple):
    """Gives acts back to the one rule it names, on known facts only."""

    id: str
    softens: str
    says: str
    if_: tuple[Condition, ...]
    leaves: dict[str, Limits]
    sources: tuple[str, ...]


class Food(NamedTuple):
    """A food: its names, how acid it is, how it sets."""

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


NO_WAYS: dict[str, str] = {}


class Asked(NamedTuple):
    """A question people ask before the deed, and its short answer: the same for everybody, or worked out for this kitchen."""

    id: str
    heard_as: tuple[Phrase, ...]
    says: str  # of a figure: what is told when it cannot be worked out
    sources: tuple[str, ...]
    figure: str | None = None  # which of engine/figures works it out
    ways: dict[str, str] = NO_WAYS  # what is told, by how it came out; braces hold what was worked out
    missing: dict[str, str] = NO_WAYS  # what is asked for, by what is missing
    how: str | None = None  # how it was worked out, told on request


class Knowledge(NamedTuple):
    """All of knowledge/, as read."""

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
    ordinary: str  # words of everyday English, with spaces between
    version: str
    lexicon: dict[str, object] = NO_LEXICON  # engine/lexicon.py, made when the knowledge is compiled
