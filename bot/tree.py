"""The decision tree of one problem, made by asking the engine itself, so that a teacher of canning can read it and object.

First the safety questions in the order they are asked while every answer is the one that leaves most open; each other answer
is shown with the best and the worst it can still come to. Then the questions about the cause, with the cause each answer puts first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from bot.engine.case import Observation, fold
from bot.engine.knowledge import Evidence, Food, Problem
from bot.engine.safety import OUTCOMES, at_best

if TYPE_CHECKING:
    from bot.engine.turn import Engine
    from bot.engine.wording import Findings

NOON = datetime(2026, 1, 2, 12, tzinfo=UTC)  # any moment will do: the tree speaks of hours ago, never of a date
CANT_SAY = "can't say"
Turns = tuple[dict[str, Any], ...]


@dataclass
class Node:
    """A question with its branches, or a leaf, whose text says what it comes to."""

    number: int
    text: str
    safety: bool = False
    branches: list[tuple[list[str], Node]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Tree:
    """A compiled tree: `nodes` in the order they are met, the root first."""

    title: str
    nodes: tuple[Node, ...]


class _Grower:
    def __init__(self, engine: Engine, problem: Problem, product: str) -> None:
        self.engine, self.problem, self.product = engine, problem, product
        self.nodes: list[Node] = []

    def found(self, turns: Turns) -> Findings:
        case = fold(turns, self.engine.knowledge.evidence)._replace(turns=len(turns))
        return self.engine.findings(case, {}, NOON, (), False)

    def node(self, text: str, safety: bool = False) -> Node:
        made = Node(len(self.nodes) + 1, text, safety)
        self.nodes.append(made)
        return made

    def grow(self, turns: Turns) -> Node:
        found = self.found(turns)
        asked = found.question
        if asked is None:
            return self.leaf(found)
        entry = self.engine.knowledge.evidence[asked.evidence]
        node = self.node(entry.asks, entry.safety)
        children = []
        for label, seen in _answers(self.engine, entry, self.product):
            record = {"observations": [o.as_dict() for o in seen], "problems": [], "asked": [entry.id, asked.group]}
            children.append((label, (*turns, record)))
        trunk = min(range(len(children)), key=lambda n: _promise(self.found(children[n][1]), n)) if entry.safety else -1
        for n, (label, grown) in enumerate(children):
            child = self.grow(grown) if n == trunk or not entry.safety else None
            self.attach(node, label, child if child is not None else self.leaf(self.found(grown)))
        return node

    def attach(self, node: Node, label: str, child: Node) -> None:
        for labels, other in node.branches:
            if other.text == child.text and not other.branches and not child.branches:
                labels.append(label)
                if child in self.nodes:
                    self.nodes.remove(child)
                return
        node.branches.append(([label], child))

    def leaf(self, found: Findings) -> Node:
        verdict = found.verdicts[found.main] if found.verdicts else None
        ranked = found.ranked.get(self.problem.id, [])
        cause = f"first cause: {ranked[0].cause.id}" if ranked else ""
        if verdict is None:
            return self.node(cause or "nothing in jars yet")
        judgement = found.judgements[found.main]
        if verdict.settled:
            tail = f", {cause}" if cause and not verdict.outcome.startswith(("discard", "ask")) else ""
            return self.node(verdict.outcome + tail)
        best, worst = at_best(judgement), judgement.worst
        return self.node(best if best == worst else f"at best {best}, at worst {worst}")


def _promise(found: Findings, order: int) -> tuple[int, int, int]:
    """How much an answer leaves open: best outcome still possible, then the present one, then the order of the labels."""
    if not found.judgements:
        return 0, 0, order
    judgement = found.judgements[found.main]
    return OUTCOMES.index(at_best(judgement)), sum(s.clear != 2 for s in judgement.states), order


def compile_tree(engine: Engine, problem: Problem, product: str | None = None) -> Tree:
    """The tree of one problem for one product (by default the first that it happens to)."""
    product = product or problem.products[0]
    grower = _Grower(engine, problem, product)
    start = {"observations": [Observation("product", (product,)).as_dict()], "problems": [problem.id]}
    grower.grow((start,))
    questions_first = sorted(grower.nodes, key=lambda node: not node.branches)  # a stable sort: order within each is kept
    for number, node in enumerate(questions_first, 1):
        node.number = number
    says = engine.knowledge.evidence["product"].answers[product].says
    return Tree(f"{problem.title} ({says})", tuple(grower.nodes))


def _answers(engine: Engine, entry: Evidence, product: str) -> Iterator[tuple[str, list[Observation]]]:
    if entry.kind == "food":
        for acidity, food in _foods(engine, product):
            yield f"{acidity}, such as {food.name}", [Observation("food", (food.id,))]
    for answer in entry.answers.values():
        seen = Observation(entry.id, (answer.id,), replaces=True, complete=True)
        if entry.kind == "clock":
            now = NOON.timestamp()
            old, young = answer.to if answer.to is not None else 4 * (answer.from_ or 1.0), answer.from_ or 0.0
            seen = Observation(entry.id, lo=now - old * 3600 + 1, hi=now - young * 3600)
        elif entry.kind not in ("choice", "several") and (answer.from_ is not None or answer.to is not None):
            lo = answer.from_ if answer.from_ is not None else 0.0
            seen = seen._replace(lo=lo, hi=lo)
        yield answer.label, [seen, *(Observation(e, tuple(a)) for e, a in answer.also.items())]
    yield CANT_SAY, [Observation(entry.id, cant_say=True)]


def _foods(engine: Engine, product: str) -> list[tuple[str, Food]]:
    """One food of each acidity class, the first that is put up this way."""
    found: dict[str, Food] = {}
    for food in engine.knowledge.foods.values():
        if food.product is None:
            acidity = "pickled" if product in food.with_acid and food.acidity != "acid" else food.acidity
            found.setdefault(acidity, food)
    return list(found.items())


# -- drawings ---------------------------------------------------------------------------------------------------------
def as_text(tree: Tree, width: int = 96) -> str:
    """Numbered questions, each with its answers and where they lead; safety questions are marked (!)."""
    lines = [tree.title, "(!) marks a question that safety rests on.", ""]
    for node in tree.nodes:
        if not node.branches:
            continue
        lines.append(f"{node.number}. {'(!) ' if node.safety else ''}{node.text}")
        for labels, child in node.branches:
            line = f"   {' / '.join(labels)} -> {f'question {child.number}' if child.branches else child.text}"
            while len(line) > width:
                cut = line.rfind(" ", 8, width)
                lines.append(line[:cut])
                line = "      " + line[cut + 1 :]
            lines.append(line)
    return "\n".join(lines)


def as_dot(tree: Tree) -> str:
    """Graphviz DOT text; safety questions are octagons, other questions boxes, outcomes ellipses."""
    lines = ["digraph tree {", '  node [fontname="sans-serif"];']
    for node in tree.nodes:
        shape = "ellipse" if not node.branches else "octagon" if node.safety else "box"
        lines.append(f'  n{node.number} [shape={shape}, label="{_quoted(node.text)}"];')
        for labels, child in node.branches:
            lines.append(f'  n{node.number} -> n{child.number} [label="{_quoted(" / ".join(labels))}"];')
    return "\n".join([*lines, "}"])


def as_mermaid(tree: Tree) -> str:
    """Mermaid flowchart text; safety questions are hexagons, outcomes are rounded."""
    lines = ["flowchart TD"]
    for node in tree.nodes:
        text = _quoted(node.text)
        body = f'(["{text}"])' if not node.branches else f'{{{{"{text}"}}}}' if node.safety else f'["{text}"]'
        lines.append(f"  n{node.number}{body}")
        for labels, child in node.branches:
            lines.append(f'  n{node.number} -->|"{_quoted(" / ".join(labels))}"| n{child.number}')
    return "\n".join(lines)


def _quoted(text: str) -> str:
    return text.replace('"', "'")
