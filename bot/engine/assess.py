"""From a case to everything one reply needs: verdicts, causes, fixes and the next question. Plain values in, plain values out."""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.engine import naming
from bot.engine.case import ALL, REST, SOME, Case, Observation
from bot.engine.facts import NO, UNSAFE_IN_A_BATH, YES, Facts
from bot.engine.knowledge import Knowledge, Problem
from bot.engine.moments import round_down
from bot.engine.questions import (
    MOST_FOR_CAUSES,
    MOST_QUESTIONS,
    MOST_WITH_CAUSES,
    Next,
    askable,
    for_causes,
    for_remedies,
    for_safety,
)
from bot.engine.ranking import Ranked, rank
from bot.engine.remedies import plan
from bot.engine.reply import Advice, Reminder, Verdict
from bot.engine.safety import Judgement, deadline, judge
from bot.engine.sums import Sums
from bot.engine.texts import Texts
from bot.engine.wording import Findings

FLAWS = ("set", "looks", "texture", "liquid")  # kinds of trouble that leave a safe jar safe


def assess(
    knowledge: Knowledge,
    case: Case,
    now: datetime,
    heard: tuple[Observation, ...],
    metric: bool,
    first_turn: bool,
    told_before: str = "",
) -> Findings:
    """Work out what can be said of a case at `now`. `heard` is what the last message added."""
    groups = case.groups
    facts = {group: Facts(knowledge, case, now, group) for group in groups}
    named = [knowledge.problems[p] for p in case.problems if p in knowledge.problems]
    if _in_jars(facts[groups[0]]):  # what was a trouble of the pot is none any more
        named = [p for p in named if p.stage != "pot"]
    problems = tuple(sorted(named, key=lambda p: p.flaw != "seal"))  # a lid that is up is more urgent than a flaw
    judgements = {} if _still_in_pot(problems, facts[groups[0]]) else {g: judge(facts[g]) for g in groups}
    if ALL not in facts:
        facts[ALL] = Facts(knowledge, case, now, ALL)
    asked_first = sorted(judgements, key=lambda g: g == REST)
    limit = case.questions_asked >= MOST_QUESTIONS
    question = None
    if judgements and not limit:
        question = for_safety([(judgements[g], facts[g]) for g in asked_first])
    judgements, doubted = _doubt_milder_story(judgements, facts, case)
    if doubted is not None:
        question = doubted if askable(facts[ALL], doubted.evidence) else None
    if not problems and question is not None and _stage_is_open(facts[ALL]):
        question = Next("stage", ALL)
    verdicts = {
        g: _verdict(judgements[g], facts[g], problems, case, question is None) for g in judgements
    }
    main = max(judgements, key=lambda g: (_rank(judgements[g]), g == SOME)) if judgements else ALL
    view = facts[main]
    discarded = bool(judgements) and judgements[main].outcome.startswith("discard")
    ranked: dict[str, list[Ranked]] = {p.id: rank(p, view) for p in problems if p.causes}
    held_for_good = bool(judgements) and judgements[main].outcome == "ask-expert"  # nobody may eat it: why it failed can wait
    if question is None and not discarded and not held_for_good and case.questions_asked < MOST_WITH_CAUSES:
        question = _cause_question(problems, view, case, judgements.get(main))
    if discarded and judgements[main].outcome == "discard-hazard" and judgements[main].settled and askable(view, "eaten"):
        question = Next("eaten", ALL)
    fixes, tips = _plans(problems, ranked, facts, judgements, main, metric, all(v.settled for v in verdicts.values()))
    outcome = judgements[main].outcome if judgements else ""
    found = Findings(
        facts=facts,
        judgements=judgements,
        verdicts=verdicts,
        problems=problems,
        ranked=ranked,
        fixes=fixes,
        tips=tips,
        question=question,
        heard=heard,
        metric=metric,
        first_turn=first_turn,
        settled=bool(verdicts) and all(v.settled for v in verdicts.values()),
        eaten="yes" in view.possible("eaten") and view.known("eaten"),
        ill=_illness(view),
        withdrawn=outcome.startswith("discard") and told_before in _MILD,
    )
    if not judgements:
        return found._replace(notes=_pot_notes(view, Texts(knowledge.replies)))
    return found


HOW_KNOWN = "how-known"


def _doubt_milder_story(
    judgements: dict[str, Judgement], facts: dict[str, Facts], case: Case
) -> tuple[dict[str, Judgement], Next | None]:
    """After food was refused, a story that turns milder is asked how it is known; from memory alone it stays undecided."""
    if not case.refused or not case.softened or facts[ALL].line(HOW_KNOWN, ("label", "checked")) == YES:
        return judgements, None
    milder = {g for g, j in judgements.items() if j.outcome in _MILD and (g == ALL or {g, ALL} & case.refused)}
    held = {g: j._replace(outcome="ask-expert", settled=False) if g in milder else j for g, j in judgements.items()}
    return held, Next(HOW_KNOWN, ALL) if milder else None


_MILD = ("shelf-ok", "quality-only", "reprocess-now", "fridge-use-soon")


def _rank(judgement: Judgement) -> int:
    from bot.engine.safety import OUTCOMES

    return OUTCOMES.index(judgement.outcome)


JAR_FACTS = ("sealed", "process-method", "process-minutes", "hours-since-process", "spoilage-signs", "storage", "liquid-lost", "water-over-lids")


def _in_jars(facts: Facts) -> bool:
    told = facts.possible("stage") if facts.known("stage") else frozenset()
    return told == {"jars"} or any(facts.known(name) for name in ("sealed", "hours-since-process", "process-method"))


def _stage_is_open(facts: Facts) -> bool:
    return askable(facts, "stage") and not any(facts.known(name) for name in JAR_FACTS)


def _still_in_pot(problems: tuple[Problem, ...], facts: Facts) -> bool:
    stages = facts.possible("stage") if facts.known("stage") else frozenset()
    if any(p.stage != "pot" for p in problems):
        return False
    if problems:
        return stages != {"jars"}
    return stages == {"pot"} and not any(facts.known(name) for name in JAR_FACTS)


def _verdict(judgement: Judgement, facts: Facts, problems: tuple[Problem, ...], case: Case, nothing_to_ask: bool) -> Verdict:
    act = judgement.best_act
    outcome = judgement.outcome
    if outcome == "shelf-ok" and any(p.flaw in FLAWS for p in problems) and not (facts.group == REST and case.apart in ("liquid-lost",)):
        outcome = "quality-only"
    until = start = None
    if act in ("reprocess", "fridge", "freeze"):
        until = deadline(judgement, act, facts)
        if until is not None:
            belief = facts.belief("hours-since-process")
            until = round_down(until, belief is not None and belief.lo != belief.hi)
            if act == "reprocess":
                sums = Sums(facts, judgement, "", False)
                start = sums.start_time()
    open_or_broken = tuple(s.rule.id for s in judgement.states if s.clear != 2)
    because = open_or_broken or tuple(s.rule.id for s in judgement.states if _rests_on(s.rule.clear_if, facts))
    name = naming.jars(case, facts.group, Texts(facts.knowledge.replies))
    return Verdict(name, outcome, judgement.settled or nothing_to_ask, until, start, because, judgement.worst)


def _rests_on(conditions: tuple[dict[str, tuple[str, ...]], ...], facts: Facts) -> bool:
    return any(name in facts.knowledge.evidence and facts.known(name) for c in conditions for name in c)


def _cause_question(
    problems: tuple[Problem, ...], facts: Facts, case: Case, judgement: Judgement | None
) -> Next | None:
    evidence = facts.knowledge.evidence
    asked = sum(1 for name, _ in case.asked if name in evidence and not evidence[name].safety)
    if asked >= MOST_FOR_CAUSES:
        return None
    for problem in problems:
        if problem.causes and problem.diagnosis:
            found = for_remedies(problem, facts, judgement) or for_causes(problem, facts)
            if found is not None:
                return found
    return None


def _plans(
    problems: tuple[Problem, ...],
    ranked: dict[str, list[Ranked]],
    facts: dict[str, Facts],
    judgements: dict[str, Judgement],
    main: str,
    metric: bool,
    final: bool,
) -> tuple[tuple[Advice, ...], tuple[Advice, ...]]:
    fixes: list[Advice] = []
    tips: list[Advice] = []
    view = facts[main]
    jars = naming.jars(view.case, main, Texts(view.knowledge.replies))
    for problem in problems:
        sums = Sums(view, judgements.get(main), jars, metric)
        made = plan(problem, ranked.get(problem.id, []), view, judgements.get(main), sums, final)
        fixes += [f for f in made.fixes if f.says not in {x.says for x in fixes}]
        tips += [t for t in made.tips if t.says not in {x.says for x in tips}]
    return tuple(fixes), tuple(tips)


def _illness(facts: Facts) -> str:
    belief = facts.belief("symptoms")
    if belief is None:
        return ""
    return "nerves" if "nerves" in belief.present else "stomach" if belief.present else ""


def _pot_notes(facts: Facts, text: Texts) -> tuple[str, ...]:
    """What will become a safety matter once jars are filled, said while it can still be put right."""
    foods = facts.foods()
    if not foods:
        return ()
    acidity = facts.possible("acidity")
    names = " and ".join(facts.knowledge.foods[f].name for f in facts.knowledge.foods if f in foods)
    if acidity <= UNSAFE_IN_A_BATH:
        return (text("pot-low-acid", food=names),)
    if acidity == {"needs-acid"} and facts.line("acid-added", ("full",)) != 2:
        return (text("pot-short-of-acid", food=names),)
    return ()


def reminders(found: Findings, knowledge: Knowledge) -> tuple[Reminder, ...]:
    """What would be worth a message later: the time to start, and the time to look at the lids."""
    text = Texts(knowledge.replies)
    made: list[Reminder] = []
    for group, judgement in found.judgements.items():
        facts = found.facts[group]
        sums = Sums(facts, judgement, "", found.metric)
        unsealed = facts.known("sealed") and "no" in facts.possible("sealed")
        if judgement.acts["reprocess"] != NO and (unsealed or judgement.outcome == "reprocess-now"):
            start, boil_by = sums.start_time(), sums.fill("{boil_by}")
            if start is not None and boil_by is not None and start > facts.now:
                made.append(Reminder(start, text("remind-start", boil_by=boil_by)))
    ended = found.facts[found.main].processed_at() if found.judgements else None
    if ended is not None:
        check = ended[1] + timedelta(hours=12)
        if check > found.facts[found.main].now and not found.judgements[found.main].outcome.startswith("discard"):
            made.append(Reminder(check, text("remind-check")))
    return tuple(sorted(made, key=lambda r: r.at))
