"""Every source outside is agreed with as closely as is claimed, and the figures kept of libraries are what those libraries print."""

from __future__ import annotations

import ast
from typing import Any

import pytest

from tests.house.checkout import modules
from tests.kitchen.agreement import KEPT, SOURCES, Outside, iapws95, largest, line, standard_atmosphere

# Dusty last digits: a newer release of a library may differ in them.
SAME_C, SAME_PA = 2e-6, 2e-3


def each() -> list[Any]:
    return [
        pytest.param(source, id=source.name, marks=[pytest.mark.outside] if source.optional else [])
        for source in SOURCES
    ]


@pytest.mark.parametrize("source", each())
def test_no_difference_is_larger_than_allowed(source: Outside) -> None:
    if source.optional and source.missing:
        pytest.skip(line(source))
    off, where, _ = largest(source)
    assert off <= source.within, where
    assert line(source).startswith(f"{source.name}: ")


def test_a_source_that_cannot_be_asked_says_so_instead_of_agreeing() -> None:
    missing = Outside("A table", "everywhere", "°C", 1, lambda: [], "no_such_library")
    assert line(missing) == "A table: not asked, no_such_library not installed"
    with pytest.raises(ValueError, match="nothing to compare"):
        largest(missing)


def test_the_largest_difference_is_told_with_its_place() -> None:
    source = Outside("A table", "over two heights", "°C", 1, lambda: [(0.1, "low"), (0.25, "high")])
    assert line(source) == "A table: 0.2500 °C over two heights (2 values, most at high; allowed 1)"


@pytest.mark.outside
@pytest.mark.parametrize("block", ["boiling", "steam"])
def test_the_kept_figures_of_iapws_95_are_what_the_library_prints(block: str) -> None:
    pytest.importorskip("CoolProp")
    for pascals, celsius in KEPT[block]["rows"].values():
        assert iapws95(float(pascals)) == pytest.approx(float(celsius), abs=SAME_C)


@pytest.mark.outside
def test_the_kept_figures_of_the_standard_atmosphere_are_what_the_library_prints() -> None:
    pytest.importorskip("fluids")
    for feet, pascals in KEPT["atmosphere"]["rows"].items():
        assert standard_atmosphere(float(feet)) == pytest.approx(float(pascals), abs=SAME_PA)


def test_the_kept_figures_reach_from_below_the_sea_to_the_highest_towns() -> None:
    for block in ("boiling", "atmosphere"):
        heights = [float(feet) for feet in KEPT[block]["rows"]]
        assert (heights[0], heights[-1]) == (-300, 10_000)


def test_what_is_shipped_imports_none_of_these_libraries() -> None:
    """pyXSteam is under the GPL: tests may ask it, the program may not carry it."""
    imported = {
        name.partition(".")[0]
        for tree in modules().values()
        for node in ast.walk(tree)
        if isinstance(node, ast.Import | ast.ImportFrom)
        for name in ([alias.name for alias in node.names] if isinstance(node, ast.Import) else [node.module or ""])
    }
    assert imported and not imported & {name for source in SOURCES for name in source.library.split()}
