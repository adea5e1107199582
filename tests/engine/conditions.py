"""A module with each of its conditions watched: every operand of and, or and not, every comparison, and whatever decides an `if`,
a conditional expression or a comprehension. What each of them came to is noted while the module runs."""

from __future__ import annotations

import ast
from dataclasses import dataclass, field
from pathlib import Path
from types import ModuleType

NOTE = "__note__"


@dataclass
class Condition:
    """One condition, by the function or class it stands in and its text; and the ways it came out."""

    words: str
    came_out: set[bool] = field(default_factory=set)


@dataclass
class Watched:
    """A module made from a source, and the conditions in it, in the order of the text."""

    module: ModuleType
    conditions: list[Condition]

    @property
    def one_sided(self) -> dict[str, set[bool]]:
        """Conditions that did not come out both ways, with the ways in which they did."""
        return {each.words: each.came_out for each in self.conditions if len(each.came_out) < 2}


def watched(source: str, name: str) -> Watched:
    """The source as a module of this name that notes how its conditions come out. Nothing else in it is changed."""
    marker = _Marker(source)
    tree = ast.fix_missing_locations(marker.visit(ast.parse(source)))
    module = ModuleType(name)

    def note(n: int, value: object) -> object:
        marker.conditions[n].came_out.add(bool(value))
        return value

    vars(module)[NOTE] = note
    exec(compile(tree, name, "exec"), vars(module))
    return Watched(module, marker.conditions)


def watched_file(path: Path) -> Watched:
    """The same of a file."""
    return watched(path.read_text("utf-8"), f"{path.stem}_watched")


class _Marker(ast.NodeTransformer):
    """Puts a note around each condition. A constant is none, nor is the last operand of an `or` that gives a value."""

    def __init__(self, source: str) -> None:
        self._source, self._within = source, [""]
        self.conditions: list[Condition] = []

    def _decides(self, node: ast.expr) -> ast.expr:
        """A node of which only the truth counts."""
        if isinstance(node, ast.BoolOp):
            node.values = [self._decides(each) for each in node.values]
            return node
        if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
            node.operand = self._decides(node.operand)
            return node
        return self._noted(node)

    def _noted(self, node: ast.expr) -> ast.expr:
        if isinstance(node, ast.Constant):
            return node
        self.conditions.append(Condition(f"{self._within[-1]}: {ast.get_source_segment(self._source, node)}"))
        number = len(self.conditions) - 1
        inner = self.generic_visit(node)
        assert isinstance(inner, ast.expr)
        return ast.copy_location(ast.Call(ast.Name(NOTE, ast.Load()), [ast.Constant(number), inner], []), node)

    def visit_BoolOp(self, node: ast.BoolOp) -> ast.expr:
        *first, last = node.values
        node.values = [*map(self._decides, first), self.visit(last)]
        return node

    def visit_UnaryOp(self, node: ast.UnaryOp) -> ast.expr:
        if isinstance(node.op, ast.Not):
            return self._decides(node)
        return self.generic_visit(node)  # type: ignore[return-value]

    def visit_Compare(self, node: ast.Compare) -> ast.expr:
        return self._noted(node)

    def _with_test(self, node: ast.AST) -> ast.AST:
        test = node.test  # type: ignore[attr-defined]
        node.test = ast.Constant(True)  # type: ignore[attr-defined]
        decides = self._decides(test)
        self.generic_visit(node)
        node.test = decides  # type: ignore[attr-defined]
        return node

    visit_If = visit_While = visit_IfExp = visit_Assert = _with_test

    def visit_comprehension(self, node: ast.comprehension) -> ast.AST:
        tests, node.ifs = node.ifs, []
        self.generic_visit(node)
        node.ifs = [self._decides(each) for each in tests]
        return node

    def _inside(self, node: ast.AST) -> ast.AST:
        self._within.append(node.name)  # type: ignore[attr-defined]
        self.generic_visit(node)
        self._within.pop()
        return node

    visit_FunctionDef = visit_ClassDef = _inside
