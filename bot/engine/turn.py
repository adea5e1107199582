"""One message, in a straight line: reading, case, verdict, causes, question, words. Pure: give it the turns so far and `now`."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from types import MappingProxyType
from typing import Any, NamedTuple

from bot.engine import courtesies, emergency, figures_asked, level, orders
from bot.engine.assess import assess, reminders
from bot.engine.case import ALL, Case, Observation, fold
from bot.engine.facts import UNSAFE_IN_A_BATH
from bot.engine.knowledge import Knowledge
from bot.engine.naming import heard_as
from bot.engine.published import with_tables
from bot.engine.reader import Reader, Reading
from bot.engine.reply import Heard, Reminder, Reply, Timer
from bot.engine.safety import OUTCOMES, Judgement
from bot.engine.texts import Texts
from bot.engine.understood import tell_danger
from bot.engine.wording import Findings, aside, compose, likely, question_of
from bot.engine.words import MOST_READ

STRONG = 5  # more weight than this says nothing more: a rambling message must not drown its second trouble
NAMED_ONLY = 3  # words: "strawberry jam" alone names a thing and reports nothing
CLEAR_FIT = 2  # least weight of phrases from which a problem is taken without asking
SHORT_QUESTION = 8  # words: "can I eat them?" is about the batch that is open
_THESE = frozenset("it them they these this that those jar jars one".split())
ANOTHER_DAY = timedelta(hours=12)


class Outcome(NamedTuple):
    """What a turn leaves to be done: the reply to send and what to keep. `record` None means nothing was said of a batch."""

    reply: Reply
    record: dict[str, Any] | None = None
    new_case: bool = False  # the record opens a new batch
    undo: bool = False  # the latest turn was taken back
    forget: bool = False
    kitchen: Mapping[str, str] = MappingProxyType({})
    reminders: tuple[Reminder, ...] | None = None  # None: leave those that are set
    timers: tuple[Timer, ...] = ()  # to be set by the record
    stopped: tuple[int, ...] = ()  # ids of timers that the record stops


class Engine:
    """The whole of lidside over one knowledge. Holds no person's data."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = with_tables(knowledge)
        self.reader = Reader(self.knowledge)
        self.text = Texts(self.knowledge.replies)

    def turn(
        self, turns: Sequence[Mapping[str, Any]], kitchen: Mapping[str, str], text: str, now: datetime, timers: Sequence[Timer] = ()
    ) -> Outcome:
        """Answer one message sent at `now` (aware). `turns` are the stored turns of the open batch, oldest first; `timers` run."""
        case = self.case(turns, kitchen)
        question = self.knowledge.evidence.get(case.question[0]) if case.question else None
        reading = self.reader.read(text, now, question, case.question[1] if case.question else ALL, bool(case.apart), _told(case))
        reading = level.with_drop(self.knowledge, reading, text, case, now)
        if not text.strip() or (reading.words == 0 and not reading.command):
            return Outcome(aside(self.text("empty")))
        if reading.recipe:
            return Outcome(aside(self.text("recipe")))
        ill = emergency.is_on(self, case, now)
        if ill and emergency.comes_first(reading):
            return emergency.again(self, case, kitchen, now)
        if reading.command:
            return courtesies.reply_to(self, reading.command, case, turns, kitchen, now)
        if ill:  # no timer and no figure while somebody is unwell
            return self.about_a_batch(case, turns, kitchen, reading, text, now)
        ordered = orders.answer(self, reading, case, turns, kitchen, text, now, timers)
        if ordered is not None:
            return ordered
        figure = figures_asked.answer(self, reading, case, kitchen, text, now)
        if figure is not None:
            return figure
        reading = figures_asked.set_aside(self, reading)
        return orders.done_with(kitchen, figures_asked.done_with(kitchen, self.about_a_batch(case, turns, kitchen, reading, text, now)))

    def case(self, turns: Sequence[Mapping[str, Any]], kitchen: Mapping[str, str]) -> Case:
        """The case of these turns, with what the kitchen remembers where the batch says nothing."""
        remembered = courtesies.kitchen_turn(kitchen)
        case = fold([*([remembered] if remembered else []), *turns], self.knowledge.evidence)
        return case._replace(turns=sum(not turn.get("beside") for turn in turns))

    def findings(self, case: Case, kitchen: Mapping[str, str], now: datetime, heard: tuple[Observation, ...], first: bool, told: str = "") -> Findings:
        return assess(self.knowledge, case, now, heard, kitchen.get("units") == "metric", first, told)

    # -- a message about a batch ----------------------------------------------------------------------------------
    def about_a_batch(
        self, case: Case, turns: Sequence[Mapping[str, Any]], kitchen: Mapping[str, str], reading: Reading, text: str, now: datetime
    ) -> Outcome:
        """What comes of a message that tells of jars or a pot."""
        learnt = courtesies.learnt(reading, kitchen)
        was, kitchen = kitchen, {**kitchen, **learnt}
        if reading.unread and case.unread and case.question:  # asked twice, not understood twice: counts as "can't say"
            shrug = Observation(case.question[0], group=case.question[1], cant_say=True)
            reading = reading._replace(observations=(*reading.observations, shrug), answered=True, unread=False)
        chosen = self._chosen(case, text) or self._problems(reading, case)
        opens = self._opens_new_batch(case, reading, now)
        if opens:
            turns, case = (), self.case((), kitchen)
        record = self._record(reading, chosen, text, now)
        if learnt:
            record["kitchen_was"] = {key: was.get(key, "") for key in learnt}
        after = self.case([*turns, record], kitchen) if learnt else fold([record], self.knowledge.evidence, case)
        if not chosen and not case.problems and not reading.answered and case.question is None:
            early = self._not_a_problem(case, after, reading, kitchen, now)
            if early is not None:
                return early._replace(kitchen=learnt)
        elif reading.asked and not reading.answered and self._is_a_question(reading, chosen):
            return Outcome(courtesies.answer_asked(self, reading), kitchen=learnt)
        elif case.turns and not reading.answered and not chosen and not reading.observations:
            return self._unread(case, reading, kitchen, now, learnt, of_batch=bool(_THESE & set(text.lower().replace("?", " ").split())))
        told = next((t["told"] for t in reversed(turns) if t.get("told")), "")
        first = not any(t.get("said") for t in turns) or bool(set(chosen) - set(case.problems))
        unread = reading.unread and not reading.answered and case.question is not None
        if unread and case.question:
            after = after._replace(asked=after.asked - {case.question})
            record["unread"] = True
        found = self.findings(after, kitchen, now, tuple(reading.observations), first, told)
        return self._told(found._replace(unread=unread), record, opens, learnt, text, told)

    def _told(self, found: Findings, record: dict[str, Any], opens: bool, learnt: dict[str, str], text: str, told: str) -> Outcome:
        found = found._replace(too_long=len(text) > MOST_READ, new_batch=opens)
        reply = self.reply(found)
        record["said"] = True
        if found.question is not None:
            record["asked"] = [found.question.evidence, found.question.group]
        record["refused"] = [group for group, verdict in found.verdicts.items() if verdict.outcome.startswith("discard")]
        if reply.verdict is not None:
            record["told"] = reply.verdict.outcome
        return Outcome(reply, record, new_case=opens, kitchen=learnt, reminders=reply.reminders)

    def reply(self, found: Findings) -> Reply:
        """Findings as a Reply."""
        verdicts = tuple(found.verdicts.values())
        main = found.verdicts[found.main] if verdicts else None
        problems = self._problem_ids(found)
        urgent = bool(found.ill) or any(_is_urgent(j) for j in found.judgements.values())
        fixes = (*found.fixes, *found.tips)
        question = question_of(found, self.knowledge) if not found.ill else None
        return Reply(
            kind="urgent" if urgent else "answer",
            paragraphs=compose(found, self.knowledge),
            problems=problems,
            heard=tuple(dict.fromkeys(heard_as(o, found.facts[ALL]) for o in found.heard if o.answers or o.lo is not None)),
            verdicts=verdicts,
            verdict=main,
            causes=() if main is not None and main.outcome.startswith("discard") else likely(found.ranked),
            fixes=fixes,
            question=question,
            done=question is None,
            reminders=reminders(found, self.knowledge),
        )

    def _problem_ids(self, found: Findings) -> tuple[str, ...]:
        """Broken rules that name a problem come first, worst first; illness before all."""
        ids: list[str] = ["illness"] if found.ill else []
        for judgement in sorted(found.judgements.values(), key=lambda j: -OUTCOMES.index(j.outcome)):
            if judgement.outcome.startswith("discard"):
                ids += [r.problem for r in judgement.broken if r.problem]
        mine = sorted((p for p in found.problems), key=lambda p: p.flaw != "seal")
        ids += [p.id for p in mine]
        for judgement in found.judgements.values():
            ids += [r.problem for r in judgement.broken if r.problem]
        return tuple(dict.fromkeys(ids))

    # -- choosing -------------------------------------------------------------------------------------------------
    def _chosen(self, case: Case, text: str) -> list[str]:
        plain = text.strip().lower()
        for n, problem_id in enumerate(case.choices, 1):
            problem = self.knowledge.problems.get(problem_id)
            if problem is not None and plain in (problem.short.lower(), str(n)):
                return [problem_id]
        return []

    def _problems(self, reading: Reading, case: Case) -> list[str]:
        scores = reading.problems
        if not scores:
            return []
        top = min(max(scores.values()), STRONG)
        if top < CLEAR_FIT:
            return []
        return [p for p, score in scores.items() if score >= max(CLEAR_FIT, 0.4 * top)][:3]

    def _is_a_question(self, reading: Reading, chosen: list[str]) -> bool:
        best = max(reading.asked.values())
        told = {o.evidence for o in reading.observations if self.knowledge.evidence[o.evidence].safety} - {"food", "product"}
        return (reading.asks or len(told) < 2) and best >= 3 and best > max((reading.problems.get(p, 0) for p in chosen), default=0)

    def _opens_new_batch(self, case: Case, reading: Reading, now: datetime) -> bool:
        """Another food on another day is another batch; the same day it is a second food or a correction."""
        if not case.turns or not case.last_at:
            return False
        foods = {f for o in reading.observations if o.evidence == "food" and not o.replaces for f in o.answers}
        belief = case.belief("food")
        before = belief.present if belief is not None else frozenset()
        later = now - datetime.fromisoformat(case.last_at) >= ANOTHER_DAY
        return later and bool(foods) and bool(before) and not foods & before

    def _record(self, reading: Reading, problems: list[str], text: str, now: datetime) -> dict[str, Any]:
        record: dict[str, Any] = {
            "at": now.isoformat(),
            "text": text[:MOST_READ],
            "observations": [o.as_dict() for o in reading.observations],
            "problems": problems,
        }
        if reading.apart:
            record.update(apart=reading.apart, some=reading.some, whole=reading.whole)
        return record

    # -- when no problem was named ----------------------------------------------------------------------------------
    def _not_a_problem(
        self, case: Case, after: Case, reading: Reading, kitchen: Mapping[str, str], now: datetime
    ) -> Outcome | None:
        """An early answer, or None when there is enough about jars to judge without a named problem."""
        safety = [o for o in reading.observations if self.knowledge.evidence[o.evidence].safety and o.evidence not in ("food", "product")]
        if reading.asked and max(reading.asked.values()) >= CLEAR_FIT and (len(safety) < (3 if reading.asks else 2)):
            return Outcome(courtesies.answer_asked(self, reading))
        if "not-yet" in reading.cues and not case.turns and not {o.evidence for o in safety} - {"recipe-changes", "hours-since-process"}:
            return self._clarify(reading, after, now)  # a plan: nothing is in a jar yet
        ill = [o for o in reading.observations if o.evidence == "symptoms" and not o.denied and "none" not in o.answers]
        foods = after.belief("food")
        named = foods.present if foods is not None else frozenset()
        trap = any(self.knowledge.foods[f].acidity in UNSAFE_IN_A_BATH and not self.knowledge.foods[f].with_acid for f in named)
        eaten = any(o.evidence == "eaten" and "yes" in o.answers for o in reading.observations)
        if "elsewhere" in reading.cues and len(safety) < 2 and reading.about < 4 and not ill and not trap and not eaten:
            return Outcome(aside(self.text("out-of-scope"), "out-of-scope"))
        if (safety or eaten) and trap:
            return None
        if tell_danger(safety, self.knowledge.evidence):
            return None
        if ill and (reading.about > 1 or case.turns or eaten):
            return None
        if safety and reading.about >= 2:
            return None
        if case.turns and case.beliefs and any(t for t in reading.observations):
            return None
        if reading.words > NAMED_ONLY and not reading.asks and any(o.evidence in ("food", "product") and o.certain for o in reading.observations):
            return None  # a report about something in a jar or a pot, whatever is the matter with it
        if reading.problems or any(o.evidence in ("food", "product") for o in reading.observations) or safety:
            return self._clarify(reading, after, now)
        if not reading.about:
            return Outcome(aside(self.text("out-of-scope"), "out-of-scope"))
        return self._clarify(reading, after, now)

    def _clarify(self, reading: Reading, after: Case, now: datetime) -> Outcome:
        product = after.belief("product")
        products = product.possible if product is not None and product.possible else None
        likely_ones = list(reading.problems) + [
            p.id for p in self.knowledge.problems.values() if products is None or products & set(p.products)
        ]
        choices = list(dict.fromkeys(likely_ones))[:4]
        labels = tuple(self.knowledge.problems[c].short for c in choices)
        said = self.text("clarify") if reading.problems else self.text("opening")
        reply = Reply("clarify", (said,), choices=labels, heard=tuple(Heard(o.evidence, o.answers[0], o.certain) for o in reading.observations if o.answers))
        record = {
            "at": now.isoformat(), "text": "", "observations": [o.as_dict() for o in reading.observations], "problems": [],
            "choices": choices,
        }  # fmt: skip
        return Outcome(reply, record)

    def _unread(
        self, case: Case, reading: Reading, kitchen: Mapping[str, str], now: datetime, learnt: dict[str, str], of_batch: bool
    ) -> Outcome:
        """Nothing was understood in the middle of a case: say so and put the open question again."""
        shrug = case.question is None and "cant-say" in reading.cues
        if "elsewhere" not in reading.cues and (shrug or (of_batch and reading.asks and reading.words <= SHORT_QUESTION)):
            # "is it safe to eat?": what holds is said again, with the open question if there is one
            reopened = case._replace(asked=case.asked - {case.question}, asked_again=case.asked_again - {case.question}) if case.question else case
            found = self.findings(reopened, kitchen, now, (), False)
            repeated: dict[str, Any] = {"at": now.isoformat(), "text": "", "observations": [], "problems": [], "aside": True}
            if case.question:
                repeated["asked"] = list(case.question)
            return Outcome(self.reply(found), repeated, kitchen=learnt)
        if "elsewhere" in reading.cues or case.question is None:
            return Outcome(aside(self.text("out-of-scope"), "out-of-scope"), kitchen=learnt)
        reopened = case._replace(asked=case.asked - {case.question})
        found = self.findings(reopened, kitchen, now, (), False)._replace(unread=True)
        again = {"at": now.isoformat(), "text": "", "observations": [], "problems": [], "asked": list(case.question), "aside": True, "unread": True}
        return Outcome(self.reply(found), again, kitchen=learnt)


def _told(case: Case) -> frozenset[str]:
    return frozenset(name for (name, _), belief in case.beliefs.items() if belief.said)


def _is_urgent(judgement: Judgement) -> bool:
    """A hazard is established, or the food is to be thrown out whatever else is learnt."""
    return any(r.handle == "hazard" for r in judgement.broken) or (judgement.outcome.startswith("discard") and judgement.settled)
