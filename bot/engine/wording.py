"""Puts verdicts, causes, fixes and the next question into words: instruction or verdict first, one question last."""

from typing import NamedTuple

from bot.engine import naming
from bot.engine.case import ALL, REST, SOME, Observation
from bot.engine.facts import NO, UNSAFE_IN_A_BATH, YES, Facts
from bot.engine.knowledge import BEHIND, COMPUTED, Knowledge, Problem, Said
from bot.engine.moments import clock_words, span_words
from bot.engine.questions import Next
from bot.engine.ranking import Ranked
from bot.engine.reply import Advice, LikelyCause, Question, Reply, Verdict
from bot.engine.safety import Judgement, may_be_softened, reason
from bot.engine.sums import Sums
from bot.engine.texts import Line, Texts, fit, sentence

SURE, PERHAPS = 0.5, 0.2  # chance from which a cause is told as likely, or at all


class Findings(NamedTuple):
    """Everything one turn worked out, ready to be said."""

    facts: dict[str, Facts]
    judgements: dict[str, Judgement]  # empty while nothing is in a jar
    verdicts: dict[str, Verdict]
    problems: tuple[Problem, ...]
    ranked: dict[str, list[Ranked]]
    fixes: tuple[Advice, ...]
    tips: tuple[Advice, ...]
    question: Next | None
    heard: tuple[Observation, ...]
    metric: bool
    first_turn: bool
    settled: bool
    eaten: bool = False
    ill: str = ""
    withdrawn: bool = False
    unread: bool = False
    too_long: bool = False
    new_batch: bool = False
    notes: tuple[str, ...] = ()

    @property
    def main(self) -> str:
        """The group of jars spoken of first: the most severe of them."""
        from bot.engine.safety import OUTCOMES

        groups = list(self.judgements)
        return max(groups, key=lambda g: (OUTCOMES.index(self.judgements[g].outcome), g == SOME)) if groups else ALL


def compose(found: Findings, knowledge: Knowledge) -> tuple[str, ...]:
    """The paragraphs of an answer."""
    text = Texts(knowledge.replies)
    if found.ill:
        return _illness(found, text)
    lines: list[Line] = []
    if found.unread:
        lines.append(Line(text("unread")))
    if found.withdrawn:
        lines.append(Line(text("withdrawn")))
    if found.judgements:
        lines += _about_jars(found, knowledge, text)
    else:
        lines += _about_pot(found, text)
    lines += _told(found, text, knowledge)
    if found.new_batch:
        lines.append(Line(text("other-batch"), 1))
    if found.too_long:
        lines.append(Line(text("too-long"), 1))
    question = question_of(found, knowledge)
    if question is not None:
        lines.append(Line(question.says))
    return fit(lines)


def _illness(found: Findings, text: Texts) -> tuple[str, ...]:
    if found.ill == "nerves":
        return (text("illness"), text("illness-after"))
    return (text("illness-stomach"), text("illness-after"))


# -- jars ---------------------------------------------------------------------------------------------------------
def _about_jars(found: Findings, knowledge: Knowledge, text: Texts) -> list[Line]:
    group = found.main
    judgement, facts = found.judgements[group], found.facts[group]
    lines: list[Line] = []
    if judgement.outcome.startswith("discard"):
        lines += _discard(found, judgement, group, text)
    elif not found.verdicts[group].settled:
        lines += _undecided(found, judgement, facts, text)
    else:
        lines.append(Line(verdict_words(found, group, text)))
        lines += _reasons(judgement, facts, rank=1)
        if judgement.outcome == "ask-expert":
            lines.append(Line(text("when-expert"), 5))
            known = ", ".join(naming.told(facts, None, knowledge)[:5])
            lines.append(Line(text("read-out", what=f"{known}. {text('read-out-ask')}") if known else "", 4))
    if len(found.judgements) > 1:
        for other in found.judgements:
            if other != group and (found.verdicts[other].settled or found.judgements[other].outcome.startswith("discard")):
                lines.append(Line(verdict_words(found, other, text), 1))
    if not judgement.outcome.startswith("discard"):
        lines += _cause_and_fix(found, text, settled=found.verdicts[group].settled)
    return lines


def _discard(found: Findings, judgement: Judgement, group: str, text: Texts) -> list[Line]:
    hazard = judgement.outcome == "discard-hazard"
    lines = [Line(verdict_words(found, group, text))]
    if found.eaten:
        lines.insert(0, Line(text("eaten-hazard"))) if hazard else lines.append(Line(text("eaten-discard")))
    lines += _reasons(judgement, found.facts[group], rank=1)
    lines.append(Line(text("handle-hazard" if hazard else "handle-discard"), 1))
    if hazard and not found.eaten and found.question is None:
        lines.append(Line(text("hazard-who"), 3))
    return lines


def _undecided(found: Findings, judgement: Judgement, facts: Facts, text: Texts) -> list[Line]:
    lines: list[Line] = []
    if found.first_turn or not found.heard or _heard_again(found):
        for problem in found.problems[:2]:
            said = opening(problem, facts, judgement, found, again=not found.first_turn)
            if said:
                lines.append(Line(said, 0 if not lines else 2))
    broken = [r for r in judgement.broken if not any(p.id == r.problem for p in found.problems) and not may_be_softened(r, facts)]
    short_of_acid = facts.possible("acidity") <= UNSAFE_IN_A_BATH
    if short_of_acid or (found.first_turn and not lines):
        lines.insert(0, Line(text(_hold(facts))))
    if broken:
        lines.append(Line(sentence(broken[0].says), 1))
    if judgement.outcome == "ask-expert":
        lines.append(Line(text("undecided" if found.first_turn else "undecided-still"), 3))
    return lines


def _heard_again(found: Findings) -> bool:
    """The trouble itself was told once more: "still up this morning" is answered with what to do, not with the next question alone."""
    named = {evidence for problem in found.problems for evidence in problem.implies}
    return any(o.evidence in named and o.evidence in ("sealed", "liquid-lost") and not o.replaces for o in found.heard)


def _hold(facts: Facts) -> str:
    """The sentence that says what to do meanwhile, by the state of the jars."""
    if facts.possible("acidity") <= UNSAFE_IN_A_BATH:
        return "hold-low-acid"
    return "hold-unsealed" if facts.known("sealed") and facts.possible("sealed") == {"no"} else "hold-jars"


def opening(problem: Problem, facts: Facts, judgement: Judgement | None, found: Findings, again: bool = False) -> str:
    """What is said first of a problem: the first of its openings whose conditions hold and whose figures are known.

    Told `again`, the one without conditions is left out: nothing new is known that it would say.
    """
    jars = naming.jars(facts.case, facts.group, Texts(facts.knowledge.replies))
    sums = Sums(facts, judgement, jars, found.metric)
    for said in problem.first:
        if (said.if_ and facts.any_holds(said.if_) != YES) or (again and not said.if_):
            continue
        filled = sums.fill(said.says)
        if filled is not None:
            return filled
    return ""


def _reasons(judgement: Judgement, facts: Facts, rank: int) -> list[Line]:
    says, note = reason(judgement, facts)
    lines = [Line(sentence(says), rank)] if says else []
    return [*lines, Line(sentence(note), 6)] if note else lines


def verdict_words(found: Findings, group: str, text: Texts) -> str:
    """One sentence for one group of jars, with its deadline."""
    facts, judgement, verdict = found.facts[group], found.judgements[group], found.verdicts[group]
    jars = naming.jars(facts.case, group, text)
    jars = jars[:1].upper() + jars[1:]
    now = facts.now
    outcome = verdict.outcome
    if outcome == "reprocess-now":
        instead = next((text(f"or-{act}") for act in ("fridge", "freeze") if judgement.acts[act] == YES), "")
        if verdict.until is None or verdict.start_by is None:
            return text("verdict-reprocess-now-untimed", jars=jars, instead=instead).rstrip()
        start = clock_words(verdict.start_by, now) if verdict.start_by > now else "now"
        return text("verdict-reprocess-now", jars=jars, until=clock_words(verdict.until, now), start_by=start, instead=instead).rstrip()
    if outcome == "fridge-use-soon":
        if judgement.best_act == "freeze":
            return text("verdict-freeze", jars=jars)
        cold = "room" not in facts.possible("storage")
        until = ""
        if verdict.until is not None and verdict.until > now:
            left = span_words(verdict.until - now)
            until = f": use by {clock_words(verdict.until, now)}, {left} from now" if cold else ""
        return text("verdict-fridge-kept" if cold else "verdict-fridge-use-soon", jars=jars, until=until)
    if judgement.outcome == "ask-expert" or outcome == "ask-expert":
        return text("verdict-ask-expert", jars=jars)
    return text(f"verdict-{outcome}", jars=jars)


def _cause_and_fix(found: Findings, text: Texts, settled: bool) -> list[Line]:
    lines: list[Line] = []
    told_first = found.first_turn and not settled and found.question is not None
    for problem in found.problems[:2]:
        ranked = found.ranked.get(problem.id, [])
        informed = ranked and (ranked[0].reasons or ranked[0].chance >= SURE)
        if ranked and not told_first and informed and ranked[0].chance >= PERHAPS and (settled or problem.diagnosis):
            which = "cause" if ranked[0].chance >= SURE else "cause-perhaps"
            lines.append(Line(text(which, what=sentence(ranked[0].cause.says)), 3))
    if not told_first:
        for n, fix in enumerate(found.fixes[:2] if settled else ()):
            lines.append(Line(sentence(fix.says), 2 + 2 * n))
        if found.tips and settled:
            lines.append(Line(text("next-time", what=sentence(found.tips[0].says)), 5))
    return lines


# -- the pot ------------------------------------------------------------------------------------------------------
def _about_pot(found: Findings, text: Texts) -> list[Line]:
    facts = found.facts[ALL]
    lines: list[Line] = []
    if found.first_turn or any(o.evidence in ("altitude", "thermometer-reading", "pectin") for o in found.heard):
        for problem in found.problems[:2]:
            said = opening(problem, facts, None, found, again=not found.first_turn)
            if said:
                lines.append(Line(said))
    for note in found.notes:
        lines.append(Line(note, 1))
    if not found.first_turn or not lines:
        for problem in found.problems[:1]:
            ranked = found.ranked.get(problem.id, [])
            if ranked and ranked[0].reasons and ranked[0].chance >= PERHAPS:
                which = "cause" if ranked[0].chance >= SURE else "cause-perhaps"
                lines.append(Line(text(which, what=sentence(ranked[0].cause.says)), 2))
        for n, fix in enumerate(found.fixes[: 2 if found.first_turn else 1]):
            lines.append(Line(sentence(fix.says), n))
        if found.tips and found.question is None:
            lines.append(Line(text("next-time", what=sentence(found.tips[0].says)), 5))
    return lines


# -- the end of the reply -----------------------------------------------------------------------------------------
def _told(found: Findings, text: Texts, knowledge: Knowledge) -> list[Line]:
    group = found.main
    facts = found.facts[group]
    if not found.heard and not found.settled:
        return []
    parts = naming.told(facts, found.heard if not found.settled else None, knowledge)
    if not parts or (found.settled and found.judgements and found.judgements[group].outcome == "ask-expert"):
        return []  # the note to read out says it
    which = "going-by" if found.settled else "heard"
    return [Line(text(which, what=", ".join(parts[:6])), 3)]


def question_of(found: Findings, knowledge: Knowledge) -> Question | None:
    """The next question in words, with its buttons."""
    if found.question is None:
        return None
    entry = knowledge.evidence[found.question.evidence]
    labels = [a.label for a in entry.answers.values() if _fits(entry.id, a.id, found)]
    asks = entry.asks
    if found.question.group in (SOME, REST):
        case = found.facts[found.question.group].case
        asks = f"{naming.jars(case, found.question.group, Texts(knowledge.replies))}: {asks[:1].lower()}{asks[1:]}"
        asks = asks[:1].upper() + asks[1:]
    return Question(entry.id, asks, entry.why, (*labels, "Can't say"), found.question.group)


def _fits(evidence: str, answer: str, found: Findings) -> bool:
    """A button is offered for products that the named problems can happen to; free text is always accepted as well."""
    if evidence != "product" or not found.problems:
        return True
    return any(answer in p.products for p in found.problems)


def likely(ranked: dict[str, list[Ranked]]) -> tuple[LikelyCause, ...]:
    """All causes worth naming, best first, for the data form of the reply."""
    found = [
        LikelyCause(r.cause.id, problem, sentence(r.cause.says), r.chance, _evidence_of(r), r.cause.sources)
        for problem, causes in ranked.items()
        for r in causes
        if r.chance > 0
    ]
    return tuple(sorted(found, key=lambda c: -c.chance))


def _evidence_of(ranked: Ranked) -> tuple[str, ...]:
    """Evidence ids behind the reasons; a computed fact stands for what it is worked out from."""
    names = [told for e, _ in ranked.reasons for told in (BEHIND[e] if e in COMPUTED else (e,))]
    return tuple(dict.fromkeys(names))


def aside(text: str, kind: str = "aside", **more: object) -> Reply:
    """A reply that is only words: each line a paragraph."""
    return Reply(kind, tuple(p for p in text.split("\n") if p), **more)  # type: ignore[arg-type]


__all__ = ["NO", "Findings", "Said", "aside", "compose", "likely", "opening", "question_of", "verdict_words"]
