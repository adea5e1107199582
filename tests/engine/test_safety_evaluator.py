"""The safety rules one by one, over every combination of answers that a rule can tell apart: doubt and danger never open an act.

Nothing is drawn by chance. For each rule, the evidence it reads is found, silences and implied answers included; answers that
make no difference to any line of the rule are taken together; and the rule is looked at for every combination that is left.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from itertools import combinations, pairwise, product

from bot.app import App
from bot.engine.case import ALL, REST, SOME, Belief, Case, Observation, fold
from bot.engine.facts import FOREVER, HOUR, NO, OPEN, YES, Facts
from bot.engine.knowledge import ACTS, Answer, Condition, Knowledge, Rule, RuleException
from bot.engine.published import with_tables
from bot.engine.safety import look
from bot.engine.turn import Engine
from bot.kitchen.process_time import JAR_SIZES, UNSTERILE_MINUTES, ProcessRow
from bot.library import load
from bot.store import MEMORY, Store

NOW = datetime(2026, 7, 14, 15, tzinfo=UTC)
MINUTE = 1 / 60  # hours
CLOCK, PLACE, WARM = "hours-since-process", "storage", "warm-before-cold"
# What the fact `minutes-enough` is worked out from, beside the food and the way of heating.
MINUTES_FROM = (
    "process-minutes", "process-timer", "time-as-printed", "altitude", "time-for-height", "jar-size", "pack", "jars-boiled-first",
)  # fmt: skip


# -- what can be said ---------------------------------------------------------------------------------------------------
@dataclass(frozen=True, eq=False)
class Telling:
    """What turns say about one piece of evidence. Two are the same only if they are one: they are looked up many times."""

    name: str
    said: tuple[Observation, ...] = ()

    @property
    def answered(self) -> bool:
        return any(not seen.cant_say for seen in self.said)

    def __str__(self) -> str:
        return f"{self.name}: " + (", then ".join(_words(seen) for seen in self.said) or "silent")


def _words(seen: Observation) -> str:
    if seen.cant_say:
        return "not sure"
    if seen.lo is not None and seen.hi is not None:
        lo, hi = (
            ((NOW.timestamp() - at) / HOUR for at in (seen.hi, seen.lo))
            if seen.evidence == CLOCK
            else (seen.lo, seen.hi)
        )
        return f"{'about ' if seen.approx else ''}{lo:.7g}" + (f" to {hi:.7g}" if hi != lo else "")
    return ("not " if seen.denied else "") + "/".join(seen.answers) + (" and no more" if seen.complete else "")


@cache
def knowledge() -> Knowledge:
    return with_tables(load())


def rules() -> list[Rule]:
    return list(knowledge().rules.values())


def turns_of(said: Sequence[Observation]) -> list[dict[str, object]]:
    return [{"observations": [seen.as_dict()]} for seen in said]


@cache
def belief_of(telling: Telling) -> Belief | None:
    return fold(turns_of(telling.said), knowledge().evidence).beliefs.get((telling.name, ALL))


def facts_of(told: Iterable[Telling], known: Knowledge | None = None) -> Facts:
    beliefs = {(each.name, ALL): belief for each in told if (belief := belief_of(each)) is not None}
    return Facts(known or knowledge(), Case(beliefs=beliefs), NOW)


@cache
def silent(name: str) -> Telling:
    return Telling(name)


@cache
def not_sure(name: str) -> Telling:
    return Telling(name, (Observation(name, cant_say=True),))


@cache
def then(one: Telling, other: Telling) -> Telling:
    return Telling(one.name, (*one.said, *other.said))


@cache
def answer(name: str, *answers: str, denied: bool = False, complete: bool = False) -> Telling:
    return Telling(name, (Observation(name, answers, denied=denied, complete=complete),))


@cache
def number(name: str, lo: float, hi: float | None = None, approx: bool = False) -> Telling:
    return Telling(name, (Observation(name, lo=lo, hi=lo if hi is None else hi, approx=approx),))


def hours_ago(shortest: float, longest: float | None = None) -> Telling:
    at = NOW.timestamp()
    return number(CLOCK, at - (shortest if longest is None else longest) * HOUR, at - shortest * HOUR)


# -- what a rule reads --------------------------------------------------------------------------------------------------
Subject = tuple[str, ...]  # ids of rules that are looked at together


def subjects() -> list[Subject]:
    """The rules, each by itself, but those about the lid together: its answers exclude each other, and what clears one of
    these rules breaks the next (a lid that let go is none that never went down)."""
    about_the_lid = tuple(rule.id for rule in rules() if any("sealed" in condition for condition in rule.clear_if))
    return [about_the_lid, *((rule.id,) for rule in rules() if rule.id not in about_the_lid)]


def rules_of(subject: Subject) -> list[Rule]:
    return [knowledge().rules[each] for each in subject]


def limits_of(rule: Rule) -> list[tuple[str, str, float]]:
    """(act, clock, hours) of a rule and of the exceptions that soften it."""
    leaves = [rule.leaves, *(each.leaves for each in softening(rule))]
    return [
        (act, clock, hours)
        for acts in leaves for act, limits in acts.items() for clock, hours in limits.items() if hours < FOREVER / 2
    ]  # fmt: skip


def softening(rule: Rule) -> list[RuleException]:
    return [each for each in knowledge().exceptions.values() if each.softens == rule.id]


@dataclass(frozen=True)
class Reach:
    """All that can move a rule: its lines, those of the silences they rest on, and the evidence behind them in parts that
    nothing connects. A part that matters only while some evidence is silent names that evidence in `heard_in_silence_of`."""

    lines: tuple[tuple[str, tuple[str, ...]], ...]
    parts: tuple[tuple[str, ...], ...]
    heard_in_silence_of: dict[tuple[str, ...], frozenset[str]]


@cache
def reach(subject: Subject) -> Reach:
    conditions = [condition for rule in rules_of(subject) for condition in rule.clear_if]
    conditions += [condition for rule in rules_of(subject) for each in softening(rule) for condition in each.if_]
    clocks = [clock for rule in rules_of(subject) for _, clock, _ in limits_of(rule)]
    direct = [*(name for condition in conditions for name in condition), *clocks]
    todo, together, owners = list(direct), {name: {name} for name in direct}, {name: {""} for name in direct}
    while todo:
        name = todo.pop()
        conditions += _silences(name)
        for other in [each for condition in _silences(name) for each in condition]:
            owners.setdefault(other, set()).add(name)
            if other not in together:
                together[other] = {other}
                todo.append(other)
        for other in _behind(name):
            todo += [] if other in together else [other]
            joined = together[name] | together.get(other, {other})
            together |= dict.fromkeys(joined, joined)
    in_silence: dict[tuple[str, ...], frozenset[str]] = {}
    for joined in together.values():
        part = tuple(each for each in knowledge().evidence if each in joined)
        owned = frozenset(owner for each in joined for owner in owners.get(each, ()))
        in_silence[part] = frozenset() if "" in owned else owned
    lines = dict.fromkeys(line for condition in conditions for line in condition.items())
    return Reach(tuple(lines), tuple(sorted(in_silence, key=lambda part: bool(in_silence[part]))), in_silence)


def _silences(name: str) -> list[Condition]:
    entry = knowledge().evidence.get(name)
    return [*entry.silent.if_, *entry.silent.covered_by] if entry is not None and entry.silent is not None else []


def _behind(name: str) -> list[str]:
    """What a line or clock is worked out from, and what implies an answer."""
    implying = [entry.id for entry in knowledge().evidence.values() if name in entry.implies]
    worked_out = {
        "since": [CLOCK],
        "warm": [CLOCK, PLACE, WARM],
        "cold": [CLOCK, PLACE, WARM],
        "acidity": ["product", "food"],
        "product": ["food"],
        "minutes-enough": [
            "product",
            "food",
            "process-method",
            "process-minutes",
            "recipe-source",
        ],  # more of it further down
    }
    return [*worked_out.get(name, ()), *implying]


def seen_by(subject: Subject, told: Iterable[Telling]) -> object:
    """All that a rule makes of what was told: how each line holds, which acts are in time, and which silences may speak."""
    told = tuple(told)
    facts = facts_of((*beside(subject), *told))
    leaves = [acts for rule in rules_of(subject) for acts in (rule.leaves, *(each.leaves for each in softening(rule)))]
    in_time = [
        min((facts.in_time(*limit) for limit in limits.items()), default=YES)
        for acts in leaves
        for limits in acts.values()
    ]
    silences = [each.name for each in told if not each.said and knowledge().evidence[each.name].silent is not None]
    return tuple(facts.line(*line) for line in reach(subject).lines), tuple(in_time), tuple(silences)


# -- the tellings that a rule can tell apart -----------------------------------------------------------------------------
Combination = tuple[Telling, ...]
LOW_KITCHEN = (
    answer("jar-size", "half-pint"), answer("pack", "hot"), answer("jars-boiled-first", "boiled"), number("altitude", 0.0),
)  # fmt: skip
FOODS_WITH_MINUTES = {"food": ("strawberry", "cucumber"), "product": ("jam", "pickle", "ferment")}


def reads_minutes(subject: Subject) -> bool:
    return any(name == "minutes-enough" for name, _ in reach(subject).lines)


def beside(subject: Subject) -> Combination:
    """What is told beside the parts of a rule, so that minutes alone decide whether they were enough."""
    return LOW_KITCHEN if reads_minutes(subject) else ()


def answers_of(subject: Subject, name: str) -> list[str]:
    if reads_minutes(subject) and name in FOODS_WITH_MINUTES:
        return list(FOODS_WITH_MINUTES[name])
    return foods_apart() if name == "food" else list(knowledge().evidence[name].answers)


@cache
def foods_apart() -> list[str]:
    """One each of the foods that differ in how acid they are as any product, or in the product they stand for."""
    found: dict[object, str] = {}
    for food in knowledge().foods:
        with_products = [(), *((answer("product", each),) for each in knowledge().evidence["product"].answers)]
        facts = [facts_of((answer("food", food), *each)) for each in with_products]
        found.setdefault(tuple((each.possible("acidity"), each.possible("product")) for each in facts), food)
    return list(found.values())


def apart(subject: Subject, choices: Iterable[Telling]) -> list[Telling]:
    """One each of the tellings that the rule can tell from one another, whatever else was said."""
    found: dict[object, Telling] = {}
    for each in choices:
        company = _company(subject, each.name)
        found.setdefault(tuple(seen_by(subject, (each, *others)) for others in company), each)
    return list(found.values())


def tellings(subject: Subject, name: str) -> list[Telling]:
    """Silence, "not sure", and what can be answered, a danger sign on top of an answer included."""
    entry = knowledge().evidence[name]
    match entry.kind:
        case "clock":
            told = [hours_ago(each) for each in _around_the_limits(subject)]
            told.append(hours_ago(*(limit(_around_the_limits(subject)) for limit in (min, max))))
        case "food":
            told = apart(subject, [answer(name, each) for each in answers_of(subject, name)])
            told += [answer(name, *one.said[0].answers, *other.said[0].answers) for one, other in pairwise(told)]
        case "several":
            ticks = apart(subject, [answer(name, each) for each in entry.answers if each != "none"])
            ids = [tick.said[0].answers[0] for tick in ticks]
            told = [*ticks, *(answer(name, *some, complete=True) for n in (1, 2) for some in combinations(ids, n))]
            told += [answer(name, "none", complete=True), *(answer(name, each, denied=True) for each in entry.answers)]
        case "choice":
            told = [answer(name, each, denied=denied) for denied in (False, True) for each in answers_of(subject, name)]
        case _:
            points = _around_the_cells(entry.answers.values())
            told = [
                *(number(name, each) for each in points),
                number(name, points[0], points[-1]),
                *without_number(name),
            ]
    return [
        silent(name),
        not_sure(name),
        *apart(subject, [*told, *(then(one, sign) for one in told for sign in dangers(subject, name))]),
    ]


def without_number(name: str) -> list[Telling]:
    """Answers of a number question that are none: "the time the sheet prints"."""
    return [
        answer(name, each.id)
        for each in knowledge().evidence[name].answers.values()
        if each.from_ is None and each.to is None
    ]


def dangers(subject: Subject, name: str) -> list[Telling]:
    """The danger signs that this evidence can show."""
    entry = knowledge().evidence[name]
    if entry.kind in ("choice", "several"):
        return apart(subject, [answer(name, each) for each in entry.danger])
    return [number(name, _around_the_cells([entry.answers[each]])[0]) for each in entry.danger]


def _company(subject: Subject, name: str) -> list[Combination]:
    """What else may have been said that decides whether two answers can be told apart."""
    minutes = [(number("process-minutes", each),) for each in (1.0, 7.0, 60.0)] if reads_minutes(subject) else [()]
    others: list[Combination] = [()]
    if name in ("product", "food"):
        other = "food" if name == "product" else "product"
        others += [(answer(other, each),) for each in answers_of(subject, other)]
    elif name == "process-minutes" and reads_minutes(subject):
        others += [
            (answer("product", one), answer("food", other))
            for one in ("jam", "pickle")
            for other in ("strawberry", "cucumber")
        ]
        minutes = [()]
    elif name in (CLOCK, PLACE, WARM):
        clocks = [hours_ago(hours) for hours in _around_the_limits(subject)]
        places, warm = ([answer(each, where) for where in knowledge().evidence[each].answers] for each in (PLACE, WARM))
        others += product(*(told for each, told in ((CLOCK, clocks), (PLACE, places), (WARM, warm)) if each != name))
    return [(*some, *few) for some in others for few in minutes]


def _around_the_limits(subject: Subject) -> list[float]:
    """Hours at, just under and just past each limit, and each limit of the cold after each length of warm hours."""
    told = {(clock, hours) for rule in rules_of(subject) for _, clock, hours in limits_of(rule)}
    limits = {hours for _, hours in told}
    limits |= {float(words[0].split()[1]) for name, words in reach(subject).lines if name in ("since", "warm", "cold")}
    limits |= {hours + warm for clock, hours in told if clock == "cold" for warm in (2.0, 24.0)}
    return sorted({hours + off for hours in limits for off in (-MINUTE, 0.0, MINUTE)})


def _around_the_cells(cells: Iterable[Answer]) -> list[float]:
    """A number at the start of each cell, and one just under its end."""
    cells = list(cells)
    starts = {each.from_ for each in cells if each.from_ is not None}
    return sorted(starts | {each.to - 1e-6 for each in cells if each.to is not None})


# -- every combination -------------------------------------------------------------------------------------------------
@dataclass(frozen=True)
class Move:
    """One change of what was told in one part: an answer gives way to "not sure", or a danger sign comes on top."""

    before: Combination
    after: Combination


@dataclass(frozen=True)
class Part:
    """The combinations of one part of what a rule reads: one each of those it can tell apart, and the moves between them."""

    states: tuple[Combination, ...]
    moves: dict[str, tuple[Move, ...]]  # by what changes: "not sure" or "danger"
    looked_at: int


@cache
def parts(subject: Subject) -> tuple[Part, ...]:
    return tuple(_part(subject, names) for names in reach(subject).parts)


def _part(subject: Subject, names: Sequence[str]) -> Part:
    sight: dict[Combination, object] = {}

    def seen(told: Combination) -> object:
        if told not in sight:
            sight[told] = seen_by(subject, told)
        return sight[told]

    states: dict[object, Combination] = {}
    moves: dict[str, dict[object, Move]] = {"not sure": {}, "danger": {}}
    signs = {name: dangers(subject, name) for name in names}
    for told in product(*(tellings(subject, name) for name in names)):
        states.setdefault(seen(told), told)
        for n, telling in enumerate(told):
            doubts = [not_sure(telling.name)] if telling.answered else []
            worse = [then(telling, sign) for sign in signs[telling.name] if _adds_to(telling)]
            for kind, changed in (("not sure", doubts), ("danger", worse)):
                for each in changed:
                    after = (*told[:n], each, *told[n + 1 :])
                    if seen(told) != seen(after):
                        moves[kind].setdefault((seen(told), seen(after)), Move(told, after))
    return Part(tuple(states.values()), {kind: tuple(each.values()) for kind, each in moves.items()}, len(sight))


def _adds_to(told: Telling) -> bool:
    """Whether a danger sign comes on top. Where nothing was said of several dangers that exclude each other, or one was only
    denied, naming one rules out the others, some of which may be worse."""
    entry = knowledge().evidence[told.name]
    only_denied = bool(told.said) and all(each.denied for each in told.said)
    return (told.answered and not only_denied) or entry.kind == "several" or len(entry.danger) == 1


@dataclass(frozen=True)
class Allowed:
    """What is made of one combination: whether it is cleared, and the acts left."""

    clear: int
    acts: tuple[int, ...]

    def opens(self, other: Allowed) -> bool:
        """Whether something is certain in the other that was not here."""
        return any(
            now == YES != was for was, now in zip((self.clear, *self.acts), (other.clear, *other.acts), strict=True)
        )


@cache
def allowed(subject: Subject, told: Combination) -> Allowed:
    facts = facts_of((*beside(subject), *told))
    states = [look(rule, facts) for rule in rules_of(subject)]
    return Allowed(min(s.clear for s in states), tuple(min(s.acts[act] for s in states) for act in ACTS))


def opened(subject: Subject, kind: str) -> list[str]:
    """Moves after which a rule is clear, or leaves an act for certain, that it was or did not before. There should be none."""
    found: list[str] = []
    for n, part in enumerate(parts(subject)):
        for rest in _rest(subject, n) if part.moves[kind] else ():
            for move in part.moves[kind]:
                before, after = (allowed(subject, (*told, *rest)) for told in (move.before, move.after))
                if before.opens(after):
                    found.append(f"{described(move.before)} -> {described(move.after)}, with {described(rest)}")
    return found


def _rest(subject: Subject, moving: int) -> Iterator[Combination]:
    """Every combination of the other parts; what matters only in a silence is passed over while that is broken."""
    names = reach(subject).parts
    chosen: list[Combination] = [()]
    for n, part in enumerate(parts(subject)):
        if n != moving:
            owners = reach(subject).heard_in_silence_of[names[n]]
            later = {name for other in (names[moving], *names[n + 1 :]) for name in other}
            chosen = [
                (*told, *state)
                for told in chosen
                for state in (
                    part.states
                    if not owners or owners & (later | {each.name for each in told if not each.said})
                    else part.states[:1]
                )
            ]
    yield from chosen


def described(told: Combination) -> str:
    return "; ".join(str(each) for each in told if each.said) or "nothing"


def worst(kind: str) -> list[str]:
    """The first of what each rule opens by such moves, and how many there are."""
    found = {" and ".join(subject): opened(subject, kind) for subject in subjects()}
    return [f"{name}: {moves[0]} ({len(moves)} of these)" for name, moves in found.items() if moves]


def test_not_sure_in_place_of_an_answer_never_clears_a_rule_nor_opens_an_act() -> None:
    found = worst("not sure")
    assert not found, "\n".join(found)


def test_a_danger_sign_on_top_never_clears_a_rule_nor_opens_an_act() -> None:
    found = worst("danger")
    assert not found, "\n".join(found)


def test_a_rule_of_which_nothing_is_known_is_not_cleared() -> None:
    for rule in rules():
        state = look(rule, facts_of(not_sure(name) for part in reach((rule.id,)).parts for name in part))
        assert YES not in (state.clear, *state.acts.values()), rule.id


def test_nothing_else_that_can_be_said_moves_a_rule() -> None:
    for rule in rules():
        reads = {name for part in reach((rule.id,)).parts for name in part}
        reads |= set(MINUTES_FROM) if reads_minutes((rule.id,)) else set()
        untouched = look(rule, facts_of(()))
        for entry in knowledge().evidence.values():
            for each in entry.answers if entry.kind in ("choice", "several") and entry.id not in reads else ():
                state = look(rule, facts_of((answer(entry.id, each),)))
                assert (state.clear, state.acts) == (untouched.clear, untouched.acts), (rule.id, entry.id, each)


# -- were the minutes enough? --------------------------------------------------------------------------------------------
Printed = frozenset[
    tuple[frozenset[str], frozenset[str], tuple[float, ...], bool]
]  # packs, jars, minutes, for sterile jars


@cache
def printed_times() -> dict[Printed, tuple[str, str]]:
    """Product and food that stand for each set of rows of the process table that some food is held against."""
    found: dict[Printed, tuple[str, str]] = {}
    for kind, food in product(knowledge().evidence["product"].answers, knowledge().foods):
        rows = [row for row in table_rows() if kind in row.products]
        own = [row for row in rows if food in row.foods] or [row for row in rows if not row.foods]
        found.setdefault(frozenset((row.packs, row.jars, row.minutes, row.sterile_jars) for row in own), (kind, food))
    shapes = {_shape(rows): rows for rows in found}
    return {rows: found[rows] for rows in shapes.values()}


def _shape(rows: Printed) -> Printed:
    """Rows with their minutes as places in the order of all of them: which are more decides, not by how many minutes."""
    printed = sorted({each for *_, minutes, _ in rows for each in minutes})
    if any(sterile for *_, sterile in rows):  # 5 minutes may be added to these
        return rows
    return frozenset((packs, jars, tuple(map(printed.index, minutes)), False) for packs, jars, minutes, _ in rows)


def table_rows() -> tuple[ProcessRow, ...]:
    return knowledge().tables["rows"]  # type: ignore[return-value]


def minutes_tellings(rows: Printed) -> list[list[Combination]]:
    """What can be told beside product and food, each with "not sure" last."""
    needed = sorted(
        {
            each + more
            for _, _, minutes, sterile in rows
            for each in minutes
            for more in {0.0, UNSTERILE_MINUTES * sterile}
        }
    )
    told: list[Combination] = [(number("process-minutes", each),) for each in (needed[0] - 1, *needed)]
    told += [(number("process-minutes", needed[0], needed[-1]),), (not_sure("process-minutes"),)]
    about = number("process-minutes", needed[-1] - 2, needed[-1] + 2, approx=True)
    told += [
        (about, each)
        for each in (answer("process-timer", "timer"), answer("process-timer", "guess"), not_sure("process-timer"))
    ]
    recipes = (answer("recipe-source", "sheet"), answer("recipe-source", "family"), not_sure("recipe-source"))
    told += [(answer("process-minutes", "as-printed"), each) for each in recipes]
    bands = {
        (n > 0, *(minutes[n] for *_, minutes, _ in rows)): feet
        for n, feet in enumerate((0.0, 2_000.0, 5_000.0, 8_000.0))
    }
    heights = [*(number("altitude", feet) for feet in bands.values()), number("altitude", 500.0, 4_000.0)]
    sizes = {tuple(_column(rows, pack, size) for pack in ("hot", "raw")): size for size in JAR_SIZES}
    choices: dict[str, list[str]] = {
        "time-for-height": ["own-height", "sea-level"], "jar-size": list(sizes.values()), "pack": ["hot", "raw"],
        "jars-boiled-first": ["boiled", "hot-only"] if any(sterile for *_, sterile in rows) else [],
    }  # fmt: skip
    found: list[list[Combination]] = [told, [*((each,) for each in heights), (not_sure("altitude"),)]]
    found += [[*((answer(name, each),) for each in ids), (not_sure(name),)] for name, ids in choices.items()]
    return found


def _column(rows: Printed, pack: str, size: str) -> str | None:
    """The jar size whose times a jar takes: its own, or the next larger one that is listed."""
    listed = {jar for packs, jars, *_ in rows if pack in packs for jar in jars}
    return next((each for each in JAR_SIZES[JAR_SIZES.index(size) :] if each in listed), None)


@cache
def minutes_proof() -> tuple[int, dict[str, list[str]]]:
    """Combinations looked at, and by evidence those in which "not sure" about it makes minutes enough that its answer does not."""
    found: dict[str, list[str]] = {}
    for rows, (kind, food) in printed_times().items():
        choices = minutes_tellings(rows) if rows else []
        unsure = [_in_doubt(each) for each in choices]
        enough = {told: _enough(kind, food, told) for told in product(*choices)} if rows else {}
        for told in [each for each, is_enough in enough.items() if not is_enough]:
            moves = [
                (name, (*told[:n], each, *told[n + 1 :]))
                for n, part in enumerate(unsure)
                for name, each in part[told[n]]
            ]
            for name in [name for name, after in moves if enough[after] and not _left_to_another(name, told)]:
                found.setdefault(name, []).append(f"{kind} of {food}; {described(sum(told, ()))}")
            if _enough(kind, "", told):
                found.setdefault("food", []).append(f"{kind} of {food}; {described(sum(told, ()))}")
    return _enough.cache_info().currsize, found


@cache
def _enough(kind: str, food: str, told: tuple[Combination, ...]) -> bool:
    named = answer("food", food) if food else not_sure("food")
    facts = facts_of((answer("product", kind), named, answer("process-method", "bath"), *sum(told, ())), _rows_of(kind))
    return facts.possible("minutes-enough") == {"enough"}


@cache
def _rows_of(kind: str) -> Knowledge:
    rows = tuple(row for row in table_rows() if kind in row.products)
    return knowledge()._replace(tables={**knowledge().tables, "rows": rows})


def _in_doubt(choices: list[Combination]) -> dict[Combination, list[tuple[str, Combination]]]:
    """For each choice, the evidence it answers, each with the choice in which that answer is "not sure"."""
    return {
        told: [
            (telling.name, next(each for each in choices if not_sure(telling.name) in each and set(each) - set(told) == {not_sure(telling.name)}))
            for telling in told if telling.answered
        ]
        for told in choices
    }  # fmt: skip


def _left_to_another(name: str, told: tuple[Combination, ...]) -> bool:
    """Two things another part of the rules answers for, each with a test of its own below."""
    return name == "jar-size" or (name == "altitude" and answer("time-for-height", "own-height") in sum(told, ()))


def minutes_openings() -> list[str]:
    """The first of each kind of opening, and how many there are."""
    return [f"{name} not sure: {moves[0]} ({len(moves)} of these)" for name, moves in minutes_proof()[1].items()]


def test_not_sure_in_place_of_an_answer_never_makes_the_minutes_enough() -> None:
    found = minutes_openings()
    assert not found, "\n".join(found)


def test_an_unknown_jar_size_is_left_to_the_rule_on_large_jars() -> None:
    for kind in knowledge().evidence["product"].answers:
        told = (
            answer("product", kind),
            answer("recipe-source", "sheet"),
            answer("recipe-changes", "none", complete=True),
            not_sure("jar-size"),
        )
        assert look(knowledge().rules["jar-over-a-quart"], facts_of(told)).clear != YES


def test_the_time_of_the_own_column_stands_in_for_a_height_nobody_knows_but_must_reach_the_lowest() -> None:
    jam: Combination = (
        answer("product", "jam"),
        answer("food", "strawberry"),
        answer("jars-boiled-first", "hot-only"),
        answer("pack", "hot"),
    )
    jam += (answer("process-method", "bath"), answer("jar-size", "half-pint"), answer("time-for-height", "own-height"))
    for minutes, height, stands in (
        (10.0, not_sure("altitude"), {"enough"}), (9.0, not_sure("altitude"), {"short"}), (10.0, number("altitude", 8_000.0), {"short"}),
    ):  # fmt: skip
        assert facts_of((*jam, number("process-minutes", minutes), height)).possible("minutes-enough") == stands


def test_minutes_of_an_unknown_product_or_of_a_food_that_no_table_lists_are_never_enough_by_themselves() -> None:
    for kind, food in [
        (not_sure("product"), answer("food", "strawberry")),
        *((answer("product", k), answer("food", f)) for k, f in [printed_times()[frozenset()]]),
    ]:
        for printed in (not_sure("time-as-printed"), silent("time-as-printed")):
            told = (
                kind,
                food,
                answer("process-method", "bath"),
                number("process-minutes", 500.0),
                number("altitude", 0.0),
                printed,
            )
            assert facts_of(told).possible("minutes-enough") != {"enough"}


# -- the proof as a whole ------------------------------------------------------------------------------------------------
@dataclass(frozen=True)
class Proof:
    """How much was looked at, and what does not hold."""

    rules: int
    combinations: int
    broken: tuple[str, ...]


def proof() -> Proof:
    """Doubt and danger over every combination of every rule, and of what makes minutes enough."""
    broken = (*worst("not sure"), *worst("danger"), *minutes_openings())
    seen = sum(part.looked_at for subject in subjects() for part in parts(subject)) + allowed.cache_info().currsize
    return Proof(len(rules()), minutes_proof()[0] + seen, broken)


# -- limits ------------------------------------------------------------------------------------------------------------
def uncleared(rule: Rule) -> Combination:
    """Something that breaks a rule for certain, apart from its clocks."""
    alone = (rule.id,)
    timeless = [part for part, names in zip(parts(alone), reach(alone).parts, strict=True) if CLOCK not in names]
    for states in product(*(part.states for part in timeless)):
        told = (*beside(alone), *(telling for state in states for telling in state))
        if look(rule, facts_of(told)).clear == NO:
            return told
    raise AssertionError(f"nothing breaks the rule {rule.id}")


def test_at_the_limit_counts_as_past_it() -> None:
    for rule in rules():
        broken = uncleared(rule)
        for act, limits in rule.leaves.items():
            strictest = min((hours for clock, hours in limits.items() if clock in ("since", "warm")), default=FOREVER)
            for hours, stands in (
                ((strictest - MINUTE, YES), (strictest, NO), (strictest + MINUTE, NO))
                if strictest < FOREVER / 2
                else ()
            ):
                told = (*broken, hours_ago(hours), answer(PLACE, "room"))
                assert look(rule, facts_of(told)).acts[act] == stands, (rule.id, act, hours)


def test_at_the_limit_of_the_cold_counts_as_past_it_even_after_the_longest_warm_time() -> None:
    for rule, act, hours in [
        (each, act, hours) for each in rules() for act, clock, hours in limits_of(each) if clock == "cold"
    ]:
        for place in ("fridge", "freezer"):
            cold = [
                (hours - MINUTE, YES),
                (hours, OPEN),
                (hours + 2.0, NO),
            ]  # within 2 h warm: as long, or up to 2 h less, cold
            for since, stands in cold:
                told = (*uncleared(rule), hours_ago(since), answer(PLACE, place), answer(WARM, "under-2h"))
                assert look(rule, facts_of(told)).acts[act] == stands, (rule.id, act, since)


def test_an_act_that_a_broken_rule_does_not_name_is_gone_at_any_time() -> None:
    for rule in rules():
        softer = {act for each in softening(rule) for act in each.leaves}
        for act in set(ACTS) - set(rule.leaves) - softer:
            for when in ((), (hours_ago(0.0),), (hours_ago(0.0), answer(PLACE, "fridge"), answer(WARM, "under-2h"))):
                assert look(rule, facts_of((*uncleared(rule), *when))).acts[act] == NO, (rule.id, act)


def test_of_a_span_of_time_the_longest_counts_for_keeping_and_the_shortest_for_giving_up() -> None:
    for rule, act, clock, hours in [(each, *limit) for each in rules() for limit in limits_of(each)]:
        if clock in ("since", "warm"):
            told = (*uncleared(rule), hours_ago(hours - MINUTE, hours + MINUTE), answer(PLACE, "room"))
            assert look(rule, facts_of(told)).acts[act] in (NO, OPEN), (rule.id, act)


# -- doubt and contradiction -------------------------------------------------------------------------------------------
def lines_reading(name: str) -> set[tuple[str, tuple[str, ...]]]:
    """The lines of all rules that name this evidence, its clocks and what is worked out from it included."""
    lines = {
        line for rule in rules() for line in reach((rule.id,)).lines if line[0] == name or name in _behind(line[0])
    }
    limits = {(clock, hours) for rule in rules() for _, clock, hours in limits_of(rule) if name in _behind(clock)}
    return lines | {(clock, (f"under {hours:g} h",)) for clock, hours in limits}


def read_evidence() -> list[str]:
    return list(dict.fromkeys(name for rule in rules() for part in reach((rule.id,)).parts for name in part))


def sayings(name: str) -> list[Telling]:
    """Each answer there is to one piece of evidence, alone."""
    entry = knowledge().evidence[name]
    match entry.kind:
        case "clock":
            return [hours_ago(hours) for hours in (0.0, 1.0, 12.0, 100.0, 10_000.0)]
        case "food":
            return [answer(name, each) for each in foods_apart()]
        case "several":
            return [answer(name, each, complete=complete) for each in entry.answers for complete in (False, True)]
        case "choice":
            return [answer(name, each, denied=denied) for denied in (False, True) for each in entry.answers]
    return [*(number(name, each) for each in _around_the_cells(entry.answers.values())), *without_number(name)]


def stays(told: Telling) -> bool:
    """An answer that no later one takes back: once unsealed stays unsealed."""
    standing = set(knowledge().evidence[told.name].stands)
    return any(not seen.denied and seen.answers and set(seen.answers) <= standing for seen in told.said)


@cache
def cleared_by(told: Telling, name: str) -> set[tuple[str, tuple[str, ...]]]:
    facts = facts_of((told,))
    return {line for line in lines_reading(name) if facts.line(*line) == YES}


def test_an_answer_told_with_doubt_clears_no_line_that_not_sure_would_not() -> None:
    bold = []
    for name in read_evidence():
        for each in sayings(name):
            doubtful = Telling(name, tuple(seen._replace(certain=False) for seen in each.said))
            bold += [f"{each}, with doubt"] if cleared_by(doubtful, name) - cleared_by(not_sure(name), name) else []
    assert not bold, "\n".join(bold)


def test_not_sure_after_an_answer_takes_back_what_the_answer_cleared() -> None:
    bold = []
    for name in read_evidence():
        for each in sayings(name):
            then_unsure = then(each, not_sure(name))
            if not stays(each) and cleared_by(then_unsure, name) - cleared_by(not_sure(name), name):
                bold.append(str(then_unsure))
    assert not bold, "\n".join(bold)


def test_two_answers_that_contradict_each_other_clear_only_what_each_would() -> None:
    bold = []
    for name in read_evidence():
        if knowledge().evidence[name].kind in ("several", "food"):
            continue
        for one, other in product([each for each in sayings(name) if not each.said[0].denied], sayings(name)):
            either = [left_by(each, name) for each in (one, other)]
            if not _agree(one, other) and left_by(then(one, other), name) - either[0] & either[0 if stays(one) else 1]:
                bold.append(f"{one}, then {other}")
    assert not bold, "\n".join(bold)


@cache
def left_by(told: Telling, name: str) -> frozenset[object]:
    """What a telling clears; of the lid, the acts that all rules about it leave just after the heat."""
    if name != "sealed":
        return frozenset(cleared_by(told, name))
    just_now = allowed(subjects()[0], (told, hours_ago(0.0), answer("kept-as", "shelf"), answer("food", "strawberry")))
    return frozenset(act for act, stands in zip(ACTS, just_now.acts, strict=True) if stands == YES)


def _agree(one: Telling, other: Telling) -> bool:
    """Whether both can be true of the same jar."""
    (first,), (second,) = one.said, other.said
    every = set(knowledge().evidence[one.name].answers)
    left = [every - set(seen.answers) if seen.denied else set(seen.answers) for seen in (first, second)]
    return bool(left[0] & left[1]) if first.lo is None and second.lo is None else first.lo == second.lo


# -- turns -------------------------------------------------------------------------------------------------------------
def test_the_order_of_turns_about_different_facts_does_not_matter() -> None:
    evidence = knowledge().evidence
    uneven = []
    for one, other in combinations(read_evidence(), 2):
        for first, second in product(_a_few(one), _a_few(other)):
            orders = ([*first, *second], [*second, *first], [*first[:1], *second, *first[1:]])
            beliefs = [fold(turns, evidence).beliefs for turns in orders]
            if not beliefs[0] == beliefs[1] == beliefs[2]:
                uneven.append(f"{first} and {second}")
    assert not uneven, f"{uneven[0]} ({len(uneven)} of these)"


def _a_few(name: str) -> list[list[dict[str, object]]]:
    """Turns about one piece of evidence: an answer, "not sure", a change of mind, and answers that set jars apart."""
    said = sayings(name)
    found = [turns_of(each) for each in (said[0].said, not_sure(name).said, (*said[0].said, *said[-1].said))]
    if knowledge().evidence[name].of == "jars":
        some = [said[-1].said[0]._replace(group=SOME).as_dict(), said[0].said[0]._replace(group=REST).as_dict()]
        found.append([{"observations": some, "apart": name}])
        found.append([{"observations": some, "apart": name}, *turns_of(said[0].said)])
    return found


def test_undoing_a_turn_leaves_the_case_as_if_it_had_never_been_sent() -> None:
    store = Store(MEMORY)
    evidence = knowledge().evidence
    try:
        for n, name in enumerate(read_evidence()):
            for m, turns in enumerate(_a_few(name)):
                chat = f"{n} {m}"
                with store.turn(chat):
                    before = [
                        store.append(chat, 1, NOW.isoformat(), turn) for turn in turns_of(not_sure("sealed").said)
                    ]
                    undone = [store.append(chat, 1, NOW.isoformat(), turn) for turn in turns]
                    for turn in reversed(undone):
                        store.mark_undone(chat, turn)
                assert [turn["turn_id"] for turn in store.load(chat)] == before
                assert fold(store.load(chat), evidence) == fold(turns_of(not_sure("sealed").said), evidence)._replace(
                    last_at=NOW.isoformat()
                )
    finally:
        store.close()


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
