"""What may still be true of one group of jars: the facts that rules and conditions are read against.

A fact is the set of answers still possible. A condition is YES (true of every possible jar), NO (of none) or OPEN.
Silence, "not sure" and contradiction leave answers possible; only what was said takes them away.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from bot.engine.case import ALL, TICKS, Belief, Case
from bot.engine.elapsed import FOREVER, HOUR, hours_on, moment_of
from bot.engine.knowledge import CLOCKS, COMPUTED, Condition, Evidence, Knowledge

NO, OPEN, YES = 0, 1, 2
ACID_ORDER = COMPUTED["acidity"]  # mildest first
UNSAFE_IN_A_BATH = frozenset({"no-process", "low", "never"})


def inside(possible: frozenset[str] | set[str], allowed: Iterable[str]) -> int:
    """YES when all that is possible is allowed, NO when nothing is, else OPEN."""
    ok = frozenset(allowed)
    return YES if possible <= ok else OPEN if possible & ok else NO


class Facts:
    """The case as seen for one group of jars at one moment. Holds no state but a memory of answers already worked out."""

    def __init__(self, knowledge: Knowledge, case: Case, now: datetime, group: str = ALL) -> None:
        self.knowledge, self.case, self.now, self.group = knowledge, case, now, group
        self._memory: dict[str, frozenset[str]] = {}
        self.notes: dict[str, object] = {}  # what other modules worked out from these facts, so that it is done once
        self._seeking: set[str] = set()
        self._implying = [entry for entry in knowledge.evidence.values() if entry.implies]
        self._lines: dict[tuple[str, tuple[str, ...]], int] = {}
        self._clocks: dict[str, tuple[float, float]] = {}

    # -- evidence -------------------------------------------------------------------------------------------------
    def belief(self, evidence: str) -> Belief | None:
        entry = self.knowledge.evidence.get(evidence) if self.group != ALL else None
        return self.case.belief(evidence, self.group if entry is not None and entry.of == "jars" else ALL)

    def known(self, evidence: str) -> bool:
        """True when the person has told it."""
        belief = self.belief(evidence)
        if belief is None or not belief.said or not belief.certain:
            return False
        entry = self.knowledge.evidence[evidence]
        if entry.kind == "several":
            return belief.complete or bool(belief.present & frozenset(entry.danger))
        if entry.kind == "food":
            return bool(belief.present)
        if entry.kind == "choice":  # "not up" leaves open whether it was opened or came up later
            return belief.possible is not None and not belief.contradicted and (len(belief.possible) == 1 or belief.possible <= frozenset(entry.danger))
        return belief.lo is not None or belief.possible is not None

    def possible(self, evidence: str) -> frozenset[str]:
        """Answers of a choice or number evidence, or of a computed fact, that are still possible."""
        if evidence not in self._memory:
            if evidence in self._seeking:  # facts that lean on each other: leave it open
                return self._every(evidence)
            self._seeking.add(evidence)
            self._memory[evidence] = self._work_out(evidence)
            self._seeking.discard(evidence)
        return self._memory[evidence]

    def _every(self, evidence: str) -> frozenset[str]:
        if evidence in COMPUTED:
            return frozenset(COMPUTED[evidence])
        return frozenset(self.knowledge.evidence[evidence].answers)

    def _work_out(self, evidence: str) -> frozenset[str]:
        if evidence in COMPUTED:
            return self._compute(evidence)
        entry = self.knowledge.evidence[evidence]
        every = frozenset(entry.answers)
        belief = self.belief(evidence)
        if belief is not None and belief.certain and belief.possible is not None:
            if belief.contradicted and entry.in_doubt:
                return frozenset({entry.in_doubt})
            open_still = any(entry.answers[a].leaves_open for a in belief.possible)
            return every if open_still else belief.possible | self._besides(entry, belief)
        if belief is not None and belief.certain and belief.lo is not None:
            cells = self.cells(entry, belief)
            if cells:
                return cells
        if belief is not None and belief.cant_say and not entry.safety and self._silence_speaks(entry):
            assert entry.silent is not None
            return frozenset({entry.silent.answer})  # no danger hangs on it: a shrug means what silence means
        if belief is not None and (belief.cant_say or belief.said):
            return frozenset({entry.in_doubt}) if entry.in_doubt else every
        implied = self._implied(evidence)
        if implied:
            return implied
        if self._silence_speaks(entry):
            assert entry.silent is not None
            return frozenset({entry.silent.answer})
        return self._products(every) if evidence == "product" else every

    def _products(self, every: frozenset[str]) -> frozenset[str]:
        """Products that may be meant while none is named: what all named problems can happen to, and what the foods can be."""
        foods = [self.knowledge.foods[f] for f in self.foods()]
        told_only = {a.id for a in self.knowledge.evidence["product"].answers.values() if a.if_listed} if foods else set[str]()
        listed = {p for food in foods for p in (*food.with_acid, food.product, food.usual_product)}
        left = every - (told_only - listed)
        return self._of_problems() & left or left

    def _of_problems(self) -> frozenset[str]:
        """Products that all named problems can happen to: cloudy brine is no jam."""
        named = [frozenset(self.knowledge.problems[p].products) for p in self.case.problems if p in self.knowledge.problems]
        return frozenset.intersection(*named) if named else frozenset()

    def _implied(self, evidence: str) -> frozenset[str] | None:
        if evidence == "product":
            usual = {self.knowledge.foods[f].product or self.knowledge.foods[f].usual_product for f in self.foods()}
            if len(usual) == 1 and None not in usual:
                return frozenset(p for p in usual if p)
        for other in self._implying:
            if evidence in other.implies:
                belief = self.belief(other.id)
                if belief is not None and belief.said and belief.certain:
                    return frozenset(other.implies[evidence])
        for problem in self.case.problems:
            implies = self.knowledge.problems[problem].implies if problem in self.knowledge.problems else {}
            if evidence in implies and self.group in (ALL, "some"):
                return frozenset(implies[evidence])
        return None

    def _silence_speaks(self, entry: Evidence) -> bool:
        silent = entry.silent
        if silent is None:
            return False
        conditions = silent.if_ + silent.covered_by
        return not conditions or any(self.holds(c) == YES for c in conditions)

    def cells(self, entry: Evidence, belief: Belief) -> frozenset[str]:
        """The number cells that an interval can fall into."""
        lo, hi = belief.lo, belief.hi
        if lo is None or hi is None:
            return frozenset(entry.answers)
        if entry.kind == "clock":
            now = self.now.timestamp()
            lo, hi = (now - hi) / HOUR, (now - lo) / HOUR
        found = {
            a.id
            for a in entry.answers.values()
            if (a.from_ is not None or a.to is not None)
            and (a.to is None or lo < a.to)
            and (a.from_ is None or hi >= a.from_)
        }
        return frozenset(found)

    def _besides(self, entry: Evidence, belief: Belief) -> frozenset[str]:
        """Where a figure and words were both told and do not agree, what the figure says is possible too: "4 %, full strength"."""
        figure = self.cells(entry, belief) if belief.lo is not None else frozenset[str]()
        assert belief.possible is not None
        return frozenset() if figure & belief.possible else figure

    # -- conditions -----------------------------------------------------------------------------------------------
    def holds(self, condition: Condition) -> int:
        """YES, OPEN or NO: all lines of the condition together."""
        worst = YES
        for name, answers in condition.items():
            value = self.line(name, answers)
            if value == NO:
                return NO
            worst = value if value < worst else worst
        return worst

    def any_holds(self, conditions: Iterable[Condition]) -> int:
        """YES, OPEN or NO: the best of several conditions; YES for none at all."""
        best = -1
        for condition in conditions:
            if (best := max(best, self.holds(condition))) == YES:
                break
        return best if best >= 0 else YES

    def line(self, name: str, answers: tuple[str, ...]) -> int:
        """YES, OPEN or NO: one line of a condition."""
        key = (name, answers)
        found = self._lines.get(key)
        if found is None:
            found = self._line(name, answers)
            if not self._seeking:  # half-way through a circle the answer is not final
                self._lines[key] = found
        return found

    def _line(self, name: str, answers: tuple[str, ...]) -> int:
        if name in CLOCKS:
            return self._clock_line(name, answers[0])
        if name in COMPUTED:
            return inside(self.possible(name), answers)
        entry = self.knowledge.evidence[name]
        if entry.kind == "food":
            foods = self.foods()
            return OPEN if not foods else YES if foods & frozenset(answers) else NO
        if entry.kind in TICKS:
            return self._ticked(entry, frozenset(answers))
        return inside(self.possible(name), answers)

    def _ticked(self, entry: Evidence, allowed: frozenset[str]) -> int:
        belief = self.belief(entry.id)
        # what was ruled out counts no more once there is doubt: "no blurred sight, but I can't say who is well"
        absent = belief.absent if belief is not None and belief.certain and not belief.cant_say else frozenset[str]()
        rest = frozenset(entry.answers) - allowed - absent - {"none"}
        if belief is not None and belief.present:
            # one thing ticked outside the allowed ones decides; otherwise whatever was not ruled out may still be there
            if belief.present - allowed:
                return NO
            return YES if belief.complete or not rest or "none" not in allowed else OPEN
        if belief is not None and belief.complete and belief.certain:
            return YES if "none" in allowed else NO
        if (belief is None or (not belief.cant_say and belief.certain)) and self._silence_speaks(entry):
            assert entry.silent is not None
            return YES if entry.silent.answer in allowed else NO
        return YES if not rest and "none" in allowed else OPEN

    # -- clocks ---------------------------------------------------------------------------------------------------
    def processed_at(self) -> tuple[datetime, datetime] | None:
        """Earliest and latest moment the heat can have ended."""
        return moment_of(self, "hours-since-process")

    def clock(self, name: str) -> tuple[float, float]:
        """Hours on a clock, shortest and longest possible. The longest is `FOREVER` when nothing is known."""
        found = self._clocks.get(name)
        if found is None:
            found = hours_on(self, name)
            if not self._seeking:
                self._clocks[name] = found
        return found

    def in_time(self, name: str, limit: float) -> int:
        """Whether a clock is still under a limit in hours; at the limit counts as past it."""
        lo, hi = self.clock(name)
        return YES if hi < limit else NO if lo >= limit else OPEN

    def _clock_line(self, name: str, words: str) -> int:
        side, hours, unit = words.split()
        limit = float(hours) * (24.0 if unit.startswith("d") else 1.0)
        under = self.in_time(name, limit)
        return under if side == "under" else YES - under

    # -- food -----------------------------------------------------------------------------------------------------
    def foods(self) -> frozenset[str]:
        belief = self.belief("food")
        return belief.present if belief is not None and belief.certain else frozenset()

    def _compute(self, name: str) -> frozenset[str]:
        if name == "acidity":
            return self._acidity()
        if name == "minutes-enough":
            from bot.engine.heat import judge

            return judge(self).possible
        from bot.engine.gel import gel_state

        return gel_state(self)

    def _acidity(self) -> frozenset[str]:
        products = self.possible("product")
        foods = self.foods()
        if not foods:  # a pickle of nobody knows what may be a pickle of anything
            return frozenset(ACID_ORDER)
        found: set[str] = set()
        for product in products:
            classes = [self._class_of(food, product) for food in foods]
            found.add(max(classes, key=ACID_ORDER.index))
        return frozenset(found)

    def _class_of(self, food_id: str, product: str) -> str:
        food = self.knowledge.foods[food_id]
        product = food.product or product
        return "pickled" if product in food.with_acid and food.acidity != "acid" else food.acidity


__all__ = ["ACID_ORDER", "FOREVER", "HOUR", "NO", "OPEN", "UNSAFE_IN_A_BATH", "YES", "Facts", "inside"]
