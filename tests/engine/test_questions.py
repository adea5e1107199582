"""The next question about causes: how few are needed against the best that any asking could do, and what is never asked."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from math import log2

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.engine.case import Case, Observation, fold
from bot.engine.facts import Facts
from bot.engine.knowledge import Answer, Cause, Evidence, Knowledge, Problem, Said, Sign
from bot.engine.questions import SURE_ENOUGH, WORTH_BITS, Next, for_causes
from bot.engine.ranking import SOMETHING_ELSE, rank

NOW = datetime(2026, 7, 14, 10, tzinfo=UTC)
SOURCES = ("worked-out#made up for a test",)
UNTIMED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
STRENGTHS = {
    "all-but-proves": 30.0, "strongly-for": 8.0, "for": 3.0, "slightly-for": 1.5,
    "slightly-against": 0.67, "against": 0.33, "strongly-against": 0.12, "rules-out": 0.0,
}  # fmt: skip
HOW_COMMON = {"usual": 8.0, "common": 4.0, "uncommon": 2.0, "rare": 1.0}
PROBLEMS = 100
MOST_ABOVE_OPTIMAL = 1.25
RARE_ANSWER = 0.02  # an answer less likely than this is no reason to ask


# -- made-up problems -------------------------------------------------------------------------------------------------
Words = Mapping[tuple[str, str], str]  # (question, answer) -> strength word


def problem_of(answers: Mapping[str, int], causes: Mapping[str, tuple[str, Words]]) -> Knowledge:
    """A knowledge of one problem: question -> number of its answers, cause -> how common it is and its signs."""
    evidence = {
        name: Evidence(
            name, f"{name}?", "", "batch", "choice",
            {f"{name}{n}": Answer(f"{name}{n}", f"{name}{n}", f"{name}{n}") for n in range(count)}, SOURCES,
        )
        for name, count in answers.items()
    }  # fmt: skip
    made = {
        name: Cause(
            name, name, common, SOURCES, signs=tuple(Sign(q, (a,), word, SOURCES) for (q, a), word in words.items())
        )
        for name, (common, words) in causes.items()
    }
    problem = Problem("small", "Small", "Small", "jars", "set", (), (), made, {}, Said("", SOURCES), "2026-07-14")
    return Knowledge(
        sources={}, concepts={}, evidence=evidence, problems={"small": problem}, rules={}, exceptions={}, foods={},
        asked={}, replies={}, strengths=STRENGTHS, how_common=HOW_COMMON, tables={}, ordinary="", version="test",
    )  # fmt: skip


def made_up(seed: int) -> Knowledge:
    """3 to 5 causes, 2 to 4 questions of 2 or 3 answers, about half of the signs there could be."""
    dice = random.Random(seed)
    answers = {letter: dice.randint(2, 3) for letter in "pqrs"[: dice.randint(2, 4)]}
    causes: dict[str, tuple[str, Words]] = {}
    for n in range(dice.randint(3, 5)):
        words: dict[tuple[str, str], str] = {}
        for name, count in answers.items():
            said = [dice.choice([*STRENGTHS]) if dice.random() < 0.5 else "" for _ in range(count)]
            if set(said) == {"rules-out"}:
                said[0] = ""
            words |= {(name, f"{name}{i}"): word for i, word in enumerate(said) if word}
        causes[f"cause-{n}"] = (dice.choice([*HOW_COMMON]), words)
    return problem_of(answers, causes)


def asked_next(knowledge: Knowledge, told: Mapping[str, str], shrugged: tuple[str, ...] = ()) -> Next | None:
    turns = [{"observations": [Observation(name, (answer,)).as_dict()]} for name, answer in told.items()]
    turns += [{"observations": [Observation(name, cant_say=True).as_dict()]} for name in shrugged]
    return for_causes(knowledge.problems["small"], Facts(knowledge, fold(turns, knowledge.evidence), NOW))


# -- the best that any asking could do --------------------------------------------------------------------------------
Weights = dict[str, float]  # cause -> its chance together with all that was told


@dataclass(frozen=True)
class Asking:
    """What a way of asking comes to: questions on average, and the bits still open at its end."""

    questions: float
    bits_left: float


class World:
    """One made-up problem with its chances written out, and the ways of asking through it."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self.answers = {name: list(entry.answers) for name, entry in knowledge.evidence.items()}
        self.given: dict[tuple[str, str], Weights] = {}
        causes = knowledge.problems["small"].causes
        for name, answers in self.answers.items():
            for cause in (*causes, SOMETHING_ELSE):
                weight = dict.fromkeys(answers, 1.0)
                for sign in causes[cause].signs if cause in causes else ():
                    if sign.evidence == name:
                        weight |= dict.fromkeys(sign.answer, STRENGTHS[sign.speaks])
                for answer in answers:
                    self.given.setdefault((name, answer), {})[cause] = weight[answer] / sum(weight.values())
        shares = {name: HOW_COMMON[cause.how_common] for name, cause in causes.items()} | {SOMETHING_ELSE: 2.0}
        self.start = {name: share / sum(shares.values()) for name, share in shares.items()}

    def after(self, weights: Weights, name: str, answer: str) -> Weights:
        return {cause: weight * self.given[name, answer][cause] for cause, weight in weights.items()}

    def over(self, weights: Weights, told: Mapping[str, str]) -> bool:
        """The leader is likely enough, or no question that is left can change what is told and is worth its effort."""
        now = shares_of(weights)
        leader = max(now, key=lambda cause: now[cause])
        if now[leader] >= SURE_ENOUGH:
            return True
        for name, answers in self.answers.items():
            if name in told:
                continue
            gain, changes = bits(now), False
            for answer in answers:
                joint = self.after(now, name, answer)
                chance = sum(joint.values())
                if chance > 0:
                    then = shares_of(joint)
                    new = max(then, key=lambda cause: then[cause])
                    gain -= chance * bits(then)
                    changes = changes or (chance > RARE_ANSWER and (new != leader or then[new] >= SURE_ENOUGH))
            if changes and gain >= WORTH_BITS:
                return False
        return True

    def asking(self, best: bool) -> Asking:
        """The expected course of the questions that lidside asks, or of the best there are, to the same end."""

        @cache
        def from_here(told: tuple[tuple[str, str], ...]) -> Asking:
            so_far = dict(told)
            weights = self.start
            for name, answer in told:
                weights = self.after(weights, name, answer)
            if self.over(weights, so_far):
                return Asking(0.0, bits(shares_of(weights)))
            names = [name for name in self.answers if name not in so_far]
            if not best:
                question = asked_next(self.knowledge, so_far)
                assert question is not None
                names = [question.evidence]
            return min((one_more(weights, told, name) for name in names), key=lambda course: course.questions)

        def one_more(weights: Weights, told: tuple[tuple[str, str], ...], name: str) -> Asking:
            questions, bits_left = 1.0, 0.0
            for answer in self.answers[name]:
                chance = sum(self.after(shares_of(weights), name, answer).values())
                if chance > 0:
                    then = from_here(tuple(sorted((*told, (name, answer)))))
                    questions += chance * then.questions
                    bits_left += chance * then.bits_left
            return Asking(questions, bits_left)

        return from_here(())


def shares_of(weights: Weights) -> Weights:
    total = sum(weights.values())
    return {cause: weight / total for cause, weight in weights.items()}


def bits(shares: Weights) -> float:
    return -sum(share * log2(share) for share in shares.values() if share > 0)


@dataclass(frozen=True)
class Compared:
    """Questions on average over many made-up problems: those asked, the fewest possible, and a bound below any asking."""

    problems: int
    greedy: float
    optimal: float
    bound: float
    worst: float


def compared(problems: int = PROBLEMS) -> Compared:
    """Ask through made-up problems both ways. One answer carries at most log2(answers) bits, whence the bound."""
    greedy: list[float] = []
    optimal: list[float] = []
    bound: list[float] = []
    for seed in range(problems):
        world = World(made_up(seed))
        fewest = world.asking(best=True)
        greedy.append(world.asking(best=False).questions)
        optimal.append(fewest.questions)
        most_bits = log2(max(len(answers) for answers in world.answers.values()))
        bound.append((bits(world.start) - fewest.bits_left) / most_bits)
    assert all(low <= few + 1e-9 and few <= some + 1e-9 for low, few, some in zip(bound, optimal, greedy, strict=True))
    worst = max(some / few for some, few in zip(greedy, optimal, strict=True) if few)
    return Compared(problems, sum(greedy) / problems, sum(optimal) / problems, sum(bound) / problems, worst)


def test_few_more_questions_are_asked_than_the_best_asking_would_need() -> None:
    found = compared()
    assert found.bound <= found.optimal <= found.greedy <= MOST_ABOVE_OPTIMAL * found.optimal


@pytest.mark.parametrize("seed", range(20))
def test_asking_ends_exactly_where_no_answer_could_change_what_is_told(seed: int) -> None:
    world = World(made_up(seed))

    def walk(weights: Weights, told: dict[str, str]) -> None:
        question = asked_next(world.knowledge, told)
        assert (question is None) is world.over(weights, told), told
        for name in world.answers if question is not None else ():
            if name not in told:
                for answer in world.answers[name]:
                    then = world.after(weights, name, answer)
                    if sum(then.values()) > 0:
                        walk(then, {**told, name: answer})

    walk(world.start, {})


# -- what is never asked ----------------------------------------------------------------------------------------------
@st.composite
def situations(draw: st.DrawFn) -> tuple[Knowledge, dict[str, str], tuple[str, ...]]:
    """A made-up problem, what was told, and what was answered with "can't say"."""
    knowledge = made_up(draw(st.integers(0, 100_000)))
    told: dict[str, str] = {}
    shrugged: list[str] = []
    for name, entry in knowledge.evidence.items():
        match draw(st.sampled_from(["told", "shrugged", "open", "open"])):
            case "told":
                told[name] = draw(st.sampled_from(list(entry.answers)))
            case "shrugged":
                shrugged.append(name)
    return knowledge, told, tuple(shrugged)


@UNTIMED
@given(situations())
def test_what_was_said_is_never_asked(situation: tuple[Knowledge, dict[str, str], tuple[str, ...]]) -> None:
    knowledge, told, shrugged = situation
    question = asked_next(knowledge, told, shrugged)
    assert question is None or question.evidence not in told


@UNTIMED
@given(situations())
def test_what_was_answered_with_cant_say_is_never_asked_again(
    situation: tuple[Knowledge, dict[str, str], tuple[str, ...]],
) -> None:
    knowledge, told, shrugged = situation
    question = asked_next(knowledge, told, shrugged)
    assert question is None or question.evidence not in shrugged


@UNTIMED
@given(situations())
def test_nothing_is_asked_once_the_leader_is_likely_enough(
    situation: tuple[Knowledge, dict[str, str], tuple[str, ...]],
) -> None:
    knowledge, told, shrugged = situation
    turns = [{"observations": [Observation(name, (answer,)).as_dict()]} for name, answer in told.items()]
    leader = rank(knowledge.problems["small"], Facts(knowledge, fold(turns, knowledge.evidence), NOW))[0]
    if leader.chance >= SURE_ENOUGH:
        assert asked_next(knowledge, told, shrugged) is None


@UNTIMED
@given(situations(), st.data())
def test_a_question_without_influence_is_never_asked(
    situation: tuple[Knowledge, dict[str, str], tuple[str, ...]], data: st.DataObject
) -> None:
    knowledge, told, shrugged = situation
    idle = data.draw(st.sampled_from(list(knowledge.evidence)))
    word = data.draw(st.sampled_from([word for word in STRENGTHS if word != "rules-out"]))
    every = tuple(knowledge.evidence[idle].answers)
    problem = knowledge.problems["small"]
    causes = {  # each speaks alike of every answer, so that none tells anything
        cause.id: cause._replace(
            signs=(*(s for s in cause.signs if s.evidence != idle), Sign(idle, every, word, SOURCES))
        )
        for cause in problem.causes.values()
    }
    knowledge = knowledge._replace(problems={"small": problem._replace(causes=causes)})
    question = asked_next(knowledge, {name: answer for name, answer in told.items() if name != idle}, shrugged)
    assert question is None or question.evidence != idle


BOIL = {("boil", "boil0"): "strongly-for", ("boil", "boil1"): "strongly-against"}
FRUIT = {("fruit", "fruit0"): "strongly-for", ("fruit", "fruit1"): "strongly-against"}


def two_causes(**changes: object) -> Knowledge:
    """Either question tells two equally common causes apart; `boil`, which is written first, can be changed."""
    knowledge = problem_of(
        {"boil": 2, "fruit": 2}, {"short-boil": ("common", {**BOIL}), "ripe-fruit": ("common", {**FRUIT})}
    )
    boil = knowledge.evidence["boil"]._replace(**changes)  # type: ignore[arg-type]
    return knowledge._replace(evidence={**knowledge.evidence, "boil": boil})


def test_of_two_questions_that_tell_as_much_the_first_is_asked() -> None:
    assert asked_next(two_causes(), {}) == Next("boil", "")


def test_of_two_questions_that_tell_as_much_the_easier_is_asked() -> None:
    assert asked_next(two_causes(effort=3), {}) == Next("fruit", "")


def test_what_is_only_heard_is_never_asked() -> None:
    assert asked_next(two_causes(asks=""), {}) == Next("fruit", "")


def test_a_question_that_makes_no_sense_yet_is_not_asked() -> None:
    only_after = two_causes(asked_if=({"fruit": ("fruit1",)},))
    assert asked_next(only_after, {}) == Next("fruit", "")
    assert asked_next(only_after, {"fruit": "fruit0"}) is None


def test_a_question_put_once_is_not_put_again_although_it_got_no_answer() -> None:
    knowledge = two_causes()
    case = fold([{"observations": [], "asked": ["boil", ""]}], knowledge.evidence)
    assert for_causes(knowledge.problems["small"], Facts(knowledge, case, NOW)) == Next("fruit", "")


def test_a_question_about_jars_is_about_the_jars_in_view() -> None:
    knowledge = two_causes(of="jars")
    facts = Facts(knowledge, Case(groups=("some", "rest")), NOW, "some")
    assert for_causes(knowledge.problems["small"], facts) == Next("boil", "some")


def test_one_cause_alone_is_told_without_a_question() -> None:
    assert asked_next(problem_of({"boil": 2}, {"short-boil": ("rare", {**BOIL})}), {}) is None
