"""Causes in order: the arithmetic against a joint table written out in fractions, and how a ranking behaves."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from fractions import Fraction
from functools import cache
from itertools import combinations, permutations, product

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.engine.case import Case, Observation, fold
from bot.engine.facts import Facts
from bot.engine.knowledge import COMPUTED, Answer, Cause, Evidence, Knowledge, Problem, Said, Sign
from bot.engine.ranking import SOMETHING_ELSE, Seen, posterior, rank, sign_evidence
from bot.library import find_folder, load

NOW = datetime(2026, 7, 14, 10, tzinfo=UTC)
CLOSE = 1e-12
STRENGTHS = {
    "all-but-proves": 30.0, "strongly-for": 8.0, "for": 3.0, "slightly-for": 1.5,
    "slightly-against": 0.67, "against": 0.33, "strongly-against": 0.12, "rules-out": 0.0,
}  # fmt: skip
HOW_COMMON = {"usual": 8.0, "common": 4.0, "uncommon": 2.0, "rare": 1.0}
SOURCES = ("worked-out#made up for a test",)
UNTIMED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])

# -- small problems ---------------------------------------------------------------------------------------------------
Words = Mapping[tuple[str, str], str]  # (evidence, answer) -> strength word


@dataclass(frozen=True)
class Small:
    """A problem of a few causes, each with the words of strength it gives to answers."""

    answers: dict[str, int]  # evidence -> number of answers
    causes: dict[str, tuple[str, Words]]  # cause -> (how common, its words)

    @property
    def knowledge(self) -> Knowledge:
        evidence = {
            name: Evidence(
                name, f"{name}?", "", "batch", "choice",
                {f"{name}{n}": Answer(f"{name}{n}", f"{name}{n}", f"{name}{n}") for n in range(count)}, SOURCES,
            )
            for name, count in self.answers.items()
        }  # fmt: skip
        causes = {name: self._cause(name, *told) for name, told in self.causes.items()}
        problem = Problem("small", "Small", "Small", "jars", "set", (), (), causes, {}, Said("", SOURCES), "2026-07-14")
        return Knowledge(
            sources={}, concepts={}, evidence=evidence, problems={"small": problem}, rules={}, exceptions={}, foods={},
            asked={}, replies={}, strengths=STRENGTHS, how_common=HOW_COMMON, tables={}, ordinary="", version="test",
        )  # fmt: skip

    def _cause(self, name: str, common: str, words: Words) -> Cause:
        signs = tuple(Sign(evidence, (answer,), word, SOURCES) for (evidence, answer), word in words.items())
        return Cause(name, name, common, SOURCES, signs=signs)


@st.composite
def small_problems(draw: st.DrawFn) -> Small:
    counts = draw(st.lists(st.integers(2, 4), min_size=1, max_size=4))
    answers = {letter: count for letter, count in zip("pqrs", counts, strict=False)}
    causes: dict[str, tuple[str, Words]] = {}
    for n in range(draw(st.integers(2, 6))):
        words: dict[tuple[str, str], str] = {}
        for name, count in answers.items():
            said = draw(st.lists(st.sampled_from(["", *STRENGTHS]), min_size=count, max_size=count))
            if set(said) == {"rules-out"}:  # a cause under which no answer at all is possible says nothing sensible
                said[0] = ""
            words |= {(name, f"{name}{i}"): word for i, word in enumerate(said) if word}
        causes[f"cause-{n}"] = (draw(st.sampled_from(list(HOW_COMMON))), words)
    return Small(answers, causes)


@st.composite
def told(draw: st.DrawFn, small: Small) -> dict[str, Seen]:
    """Some of the evidence with one answer or several left possible, certain or with doubt."""
    names = draw(st.lists(st.sampled_from(list(small.answers)), unique=True))
    return {
        name: Seen(
            frozenset(draw(st.sets(st.sampled_from(answers_in(small.knowledge, name)), min_size=1))),
            draw(st.booleans()),
        )
        for name in names
    }


problems_and_told = small_problems().flatmap(lambda small: st.tuples(st.just(small), told(small)))


# -- the model again, in other words ----------------------------------------------------------------------------------
def answers_in(knowledge: Knowledge, name: str) -> list[str]:
    return list(COMPUTED[name] if name in COMPUTED else knowledge.evidence[name].answers)


def by_the_joint_table(knowledge: Knowledge, causes: Sequence[Cause], seen: Mapping[str, Seen]) -> dict[str, Fraction]:
    """Every world written out: the cause at work, whether each doubtful answer is to be trusted, and what is told.

    Trusted answers come as the cause makes them come; for each doubtful one a coin decides whether it is trusted or picked
    blindly. The worlds that fit what was told are added up.
    """
    names = list(seen)
    fits: dict[str, Fraction] = {}
    for cause in (*causes, None):
        prior = Fraction(knowledge.how_common[cause.how_common if cause else "uncommon"])
        total = Fraction(0)
        coins = [(True, False) if seen[name].doubtful else (True,) for name in names]
        for trusted in product(*coins):
            for world in product(*(answers_in(knowledge, name) for name in names)):
                if all(answer in seen[name].answers for name, answer in zip(names, world, strict=True)):
                    total += prior * _chance(
                        knowledge, cause, dict(zip(names, zip(trusted, world, strict=True), strict=True)), seen
                    )
        fits[cause.id if cause else SOMETHING_ELSE] = total
    every = sum(fits.values())
    return {name: fit / every for name, fit in fits.items()}


def _chance(
    knowledge: Knowledge, cause: Cause | None, world: Mapping[str, tuple[bool, str]], seen: Mapping[str, Seen]
) -> Fraction:
    chance = Fraction(1)
    for name, (trusted, answer) in world.items():
        answers = answers_in(knowledge, name)
        weights = {each: Fraction(1) for each in answers}
        if cause and trusted:
            for sign in reversed(cause.signs):
                if sign.evidence == name:
                    weights |= {each: Fraction(knowledge.strengths[sign.speaks]) for each in sign.answer}
        chance *= weights[answer] / sum(weights.values())
        chance *= Fraction(1, 2) if seen[name].doubtful else 1
    return chance


def furthest(found: Mapping[str, float], exact: Mapping[str, Fraction]) -> float:
    """The largest difference between two sets of chances."""
    assert set(found) == set(exact)
    return max(abs(float(Fraction(found[name]) - exact[name])) for name in exact)


@UNTIMED
@given(problems_and_told)
def test_chances_are_those_of_the_joint_table(case: tuple[Small, dict[str, Seen]]) -> None:
    small, seen = case
    knowledge = small.knowledge
    causes = list(knowledge.problems["small"].causes.values())
    assert furthest(posterior(knowledge, causes, seen), by_the_joint_table(knowledge, causes, seen)) < CLOSE


@cache
def knowledge_in_use() -> Knowledge:
    return load()


def real_problems() -> list[str]:
    return sorted(file.stem for file in (find_folder() / "problems").glob("*.yaml"))


@pytest.mark.parametrize("name", real_problems())
def test_chances_of_a_real_problem_are_those_of_the_joint_table_after_any_one_answer(name: str) -> None:
    knowledge = knowledge_in_use()
    causes = list(knowledge.problems[name].causes.values())
    for seen in single_answers(knowledge, causes):
        assert furthest(posterior(knowledge, causes, seen), by_the_joint_table(knowledge, causes, seen)) < CLOSE, seen


@pytest.mark.parametrize("name", real_problems())
def test_chances_of_a_real_problem_are_those_of_the_joint_table_after_two_or_three_answers(name: str) -> None:
    knowledge = knowledge_in_use()
    causes = list(knowledge.problems[name].causes.values())
    dice = random.Random(f"two or three answers about {name}")
    singles = single_answers(knowledge, causes)
    for _ in range(200):
        seen = {key: what for single in dice.sample(singles, dice.choice((2, 3))) for key, what in single.items()}
        assert furthest(posterior(knowledge, causes, seen), by_the_joint_table(knowledge, causes, seen)) < CLOSE, seen


def single_answers(knowledge: Knowledge, causes: Sequence[Cause]) -> list[dict[str, Seen]]:
    names = [name for name in sign_evidence(causes) if answers_in(knowledge, name)]
    return [{name: Seen(frozenset({answer}))} for name in names for answer in answers_in(knowledge, name)]


# -- how a ranking behaves ---------------------------------------------------------------------------------------------
TWO = Small(
    {"boil": 3, "fruit": 2},
    {
        "short-boil": ("common", {("boil", "boil0"): "strongly-for", ("boil", "boil1"): "rules-out"}),
        "ripe-fruit": ("usual", {("fruit", "fruit0"): "for", ("boil", "boil0"): "against"}),
        "old-lid": ("rare", {}),
    },
)


def ranking(small: Small, *turns: Observation) -> dict[str, float]:
    """Chance of each cause after what was told, one turn each."""
    knowledge = small.knowledge
    case = fold([{"observations": [seen.as_dict()]} for seen in turns], knowledge.evidence) if turns else Case()
    ranked = rank(knowledge.problems["small"], Facts(knowledge, case, NOW))
    return {each.cause.id: each.chance for each in ranked}


def tell(evidence: str, *answers: str, certain: bool = True) -> Observation:
    return Observation(evidence, answers, certain=certain)


def as_turns(seen: Mapping[str, Seen]) -> list[Observation]:
    return [tell(name, *sorted(what.answers), certain=not what.doubtful) for name, what in seen.items()]


def alike(one: Mapping[str, float], other: Mapping[str, float]) -> bool:
    return one.keys() == other.keys() and all(abs(one[name] - other[name]) < CLOSE for name in one)


@UNTIMED
@given(problems_and_told)
def test_a_ranking_through_the_case_gives_the_chances_of_the_joint_table(case: tuple[Small, dict[str, Seen]]) -> None:
    small, seen = case
    knowledge = small.knowledge
    exact = by_the_joint_table(knowledge, list(knowledge.problems["small"].causes.values()), seen)
    del exact[SOMETHING_ELSE]
    assert furthest(ranking(small, *as_turns(seen)), exact) < CLOSE


@UNTIMED
@given(problems_and_told)
def test_chances_of_one_problem_add_up_to_at_most_one(case: tuple[Small, dict[str, Seen]]) -> None:
    small, seen = case
    chances = ranking(small, *as_turns(seen))
    assert all(chance >= 0 for chance in chances.values())
    assert sum(chances.values()) <= 1 + CLOSE


@UNTIMED
@given(problems_and_told)
def test_the_most_likely_cause_comes_first(case: tuple[Small, dict[str, Seen]]) -> None:
    small, seen = case
    chances = list(ranking(small, *as_turns(seen)).values())
    assert chances == sorted(chances, reverse=True)


def test_causes_that_are_equally_likely_stay_in_the_order_they_are_written_in() -> None:
    small = Small({"boil": 2}, {name: ("common", {}) for name in ("water", "apples", "limes")})
    assert list(ranking(small)) == ["water", "apples", "limes"]


@UNTIMED
@given(problems_and_told)
def test_an_answer_that_rules_a_cause_out_leaves_it_no_chance(case: tuple[Small, dict[str, Seen]]) -> None:
    small, seen = case
    chances = ranking(small, *as_turns(seen))
    for cause, (_, words) in small.causes.items():
        if any(
            not what.doubtful and all(words.get((name, answer)) == "rules-out" for answer in what.answers)
            for name, what in seen.items()
        ):
            assert chances[cause] == 0


def test_an_answer_told_with_doubt_rules_nothing_out() -> None:
    assert ranking(TWO, tell("boil", "boil1"))["short-boil"] == 0
    assert ranking(TWO, tell("boil", "boil1", certain=False))["short-boil"] > 0


@UNTIMED
@given(small_problems())
def test_silence_leaves_every_cause_as_common_as_it_is(small: Small) -> None:
    shares = {name: HOW_COMMON[common] for name, (common, _) in small.causes.items()}
    every = sum(shares.values()) + HOW_COMMON["uncommon"]
    assert alike(ranking(small), {name: share / every for name, share in shares.items()})


@UNTIMED
@given(problems_and_told, st.data())
def test_cant_say_tells_as_little_as_silence(case: tuple[Small, dict[str, Seen]], data: st.DataObject) -> None:
    small, seen = case
    shrugged = data.draw(st.sampled_from(list(small.answers)))
    turns = [turn for turn in as_turns(seen) if turn.evidence != shrugged]
    assert alike(ranking(small, *turns, Observation(shrugged, cant_say=True)), ranking(small, *turns))


@UNTIMED
@given(small_problems(), st.data())
def test_any_answer_at_all_tells_as_little_as_silence(small: Small, data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(list(small.answers)))
    assert alike(ranking(small, tell(name, *answers_in(small.knowledge, name))), ranking(small))


def test_evidence_that_no_cause_speaks_of_changes_nothing() -> None:
    small = Small({**TWO.answers, "moon": 2}, TWO.causes)
    assert ranking(small, tell("moon", "moon0")) == ranking(small)


@UNTIMED
@given(problems_and_told, st.data())
def test_the_order_of_evidence_does_not_matter(case: tuple[Small, dict[str, Seen]], data: st.DataObject) -> None:
    small, seen = case
    turns = as_turns(seen)
    other = data.draw(st.permutations(turns))
    assert alike(ranking(small, *turns), ranking(small, *other))


def test_every_order_of_three_answers_ranks_the_same() -> None:
    small = Small({"p": 2, "q": 2, "r": 2}, {name: ("common", {(e, f"{e}0"): word}) for name, e, word in (
        ("one", "p", "for"), ("two", "q", "strongly-for"), ("three", "r", "slightly-against"),
    )})  # fmt: skip
    orders = [ranking(small, *order) for order in permutations([tell("p", "p0"), tell("q", "q0"), tell("r", "r0")])]
    assert all(alike(one, other) for one, other in combinations(orders, 2))


@UNTIMED
@given(problems_and_told, st.data())
def test_an_answer_told_with_doubt_moves_every_cause_less_than_a_certain_one(
    case: tuple[Small, dict[str, Seen]], data: st.DataObject
) -> None:
    small, seen = case
    name = data.draw(st.sampled_from(list(small.answers)))
    answer = data.draw(st.sampled_from(answers_in(small.knowledge, name)))
    turns = [turn for turn in as_turns(seen) if turn.evidence != name]
    before = ranking(small, *turns)
    certain = ranking(small, *turns, tell(name, answer))
    doubtful = ranking(small, *turns, tell(name, answer, certain=False))
    for cause, chance in before.items():
        moved = certain[cause] - chance
        less = doubtful[cause] - chance
        assert abs(less) <= abs(moved) + CLOSE
        assert less * moved >= -CLOSE, "never the other way"
        if abs(moved) > 1e-9:
            assert abs(less) < abs(moved)


def test_an_answer_that_speaks_for_a_cause_is_named_as_its_reason() -> None:
    knowledge = TWO.knowledge
    case = fold([{"observations": [tell("boil", "boil0").as_dict()]}], knowledge.evidence)
    reasons = {each.cause.id: each.reasons for each in rank(knowledge.problems["small"], Facts(knowledge, case, NOW))}
    assert reasons == {"short-boil": (("boil", "boil0"),), "ripe-fruit": (), "old-lid": ()}
