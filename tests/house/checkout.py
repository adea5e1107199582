"""What lies in this checkout: its folder, and the modules of bot/ with their syntax trees."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
Definition = ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef


@cache
def modules() -> dict[str, ast.Module]:
    """Path from the root of the checkout -> syntax tree, of every module in bot/."""
    found = {path.relative_to(ROOT).as_posix(): path for path in sorted((ROOT / "bot").rglob("*.py"))}
    return {name: ast.parse(path.read_text(encoding="utf-8"), name) for name, path in found.items()}


def docstring(node: ast.AST) -> ast.Constant | None:
    """The node that is the docstring of a module, class or function."""
    if not isinstance(node, ast.Module | Definition) or not node.body or not isinstance(node.body[0], ast.Expr):
        return None
    value = node.body[0].value
    return value if isinstance(value, ast.Constant) and isinstance(value.value, str) else None
