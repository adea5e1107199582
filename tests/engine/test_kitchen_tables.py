"""The tables behind the kitchen arithmetic are read alike from the files and from the compiled copy, and figures are figures."""

from __future__ import annotations

from fractions import Fraction

import pytest

from bot.engine.kitchen_tables import KitchenTables, number
from bot.kitchen.process_time import JAR_SIZES
from tests.conversation import engine
from tests.kitchen.given import published, tables

READ = [name for name, each in vars(KitchenTables).items() if isinstance(each, property)]


def loaded() -> KitchenTables:
    plain = engine().knowledge.tables["plain"]
    assert isinstance(plain, dict)
    return KitchenTables(plain)


@pytest.mark.parametrize("name", READ)
def test_the_compiled_copy_holds_what_the_files_say(name: str) -> None:
    assert getattr(loaded(), name) == getattr(tables(), name)
    assert getattr(loaded(), name), "no table is empty"


def test_the_minimums_are_the_published_ones() -> None:
    found = {each.id: [each.measure, str(each.least)] for each in tables().acid_minimums}
    assert found == {
        id_: [measure, str(Fraction(least))] for id_, (measure, least) in published("acid")["minimums"]["rows"].items()
    }
    assert all(each.source and each.holds_for for each in tables().acid_minimums)


def test_calcium_chloride_and_jars_go_by_the_sizes_that_are_asked_for() -> None:
    assert set(tables().calcium_chloride) <= set(JAR_SIZES)


def test_foods_of_the_tables_are_foods_of_the_knowledge_unless_they_are_of_the_pantry() -> None:
    pantry = {"sugar", "brown-sugar", "powdered-sugar", "corn-syrup", "vinegar", "lemon-juice", "water", "jam"}
    named = {each.food for each in tables().cup_weights} | set(tables().water_in_food)
    assert named - set(engine().knowledge.foods) == pantry


@pytest.mark.parametrize(
    ("text", "figure"), [("5", "5"), ("0.62", "31/50"), ("3 1/2", "7/2"), ("1/8", "1/8"), ("0", "0")]
)
def test_figures_are_read_as_people_write_them(text: str, figure: str) -> None:
    assert number(text) == Fraction(figure)


@pytest.mark.parametrize("text", ["six", "", "-1", "1/0", "nan", "inf", "5 %"])
def test_what_is_no_figure_is_refused(text: str) -> None:
    with pytest.raises(ValueError):
        number(text)
