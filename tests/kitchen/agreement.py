"""How near the figures of the kitchen come to every source outside it: `python -m tests.kitchen.agreement` prints the largest differences.

Libraries are asked live over -300 to 10,000 ft where they are installed; what they printed once is kept in tests/published/, and asked
always, like the printed tables. A difference is ours less theirs, without its sign.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any, NamedTuple

import yaml

from bot.engine.published import with_tables
from bot.kitchen.boiling import boiling_point_f, gel_point_f, pressure_at, saturation_temperature_c
from bot.kitchen.pressure import published_row, steam_temperature_f
from bot.kitchen.process_time import required_minutes
from bot.kitchen.units import FACTORS, c_to_f, f_to_c
from bot.library import load

PUBLISHED = Path(__file__).parents[1] / "published"
HEIGHTS = range(-300, 10_001, 50)  # ft: Death Valley to the highest towns of the United States
PRESSURES = range(0, 21)  # psi on the gauge of a canner
PASCALS_PER_PSI = float(FACTORS["pressure"]["psi"])
OVER = "over -300 to 10,000 ft"

Differences = Iterable[tuple[float, str]]  # how far off, and where


class Outside(NamedTuple):
    """One source outside: what is compared, in which unit, how far apart they may be, and what it takes to ask."""

    name: str
    over: str
    unit: str
    within: float
    differences: Callable[[], Differences]
    library: str = ""
    optional: bool = False

    @property
    def missing(self) -> list[str]:
        """Libraries it needs that are not installed here."""
        return [name for name in self.library.split() if find_spec(name) is None]


def largest(source: Outside) -> tuple[float, str, int]:
    """The largest difference, where it is, and of how many. Raises ValueError for a source that has nothing to compare."""
    found = list(source.differences())
    if not found:
        raise ValueError(f"{source.name} has nothing to compare")
    off, where = max(found)
    return off, where, len(found)


def read(name: str) -> dict[str, Any]:
    """A file of tests/published/, every scalar as text."""
    found: dict[str, Any] = yaml.load((PUBLISHED / f"{name}.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)
    return found


KEPT = read("outside-libraries")


# --- Libraries, live ---


def by_pyxsteam() -> Iterator[tuple[float, str]]:
    """Saturation temperature of IAPWS-IF97, °C."""
    from pyXSteam.XSteam import XSteam

    table = XSteam(XSteam.UNIT_SYSTEM_MKS)  # bar and °C
    for feet in HEIGHTS:
        pascals = pressure_at(feet)
        yield abs(saturation_temperature_c(pascals) - table.tsat_p(pascals / 1e5)), f"{feet:,} ft"


def steam_by_pyxsteam() -> Iterator[tuple[float, str]]:
    """The same in a pressure canner, °C."""
    from pyXSteam.XSteam import XSteam

    table = XSteam(XSteam.UNIT_SYSTEM_MKS)
    for psi, feet in _canners():
        bar = (psi * PASCALS_PER_PSI + pressure_at(feet)) / 1e5
        yield abs(f_to_c(steam_temperature_f(psi, feet)) - table.tsat_p(bar)), f"{psi} psi at {feet:,} ft"


def iapws95(pascals: float) -> float:
    """Saturation temperature of IAPWS-95, °C."""
    from CoolProp.CoolProp import PropsSI

    return float(PropsSI("T", "P", pascals, "Q", 0, "Water")) - 273.15


def by_coolprop() -> Iterator[tuple[float, str]]:
    """Saturation temperature of IAPWS-95, °C: another formulation than the one used here."""
    for feet in HEIGHTS:
        pascals = pressure_at(feet)
        yield abs(saturation_temperature_c(pascals) - iapws95(pascals)), f"{feet:,} ft"


def steam_by_coolprop() -> Iterator[tuple[float, str]]:
    """The same in a pressure canner, °C."""
    for psi, feet in _canners():
        pascals = psi * PASCALS_PER_PSI + pressure_at(feet)
        yield abs(f_to_c(steam_temperature_f(psi, feet)) - iapws95(pascals)), f"{psi} psi at {feet:,} ft"


def standard_atmosphere(feet: float) -> float:
    """Pressure of the US Standard Atmosphere 1976 at a geometric height, Pa."""
    from fluids.atmosphere import ATMOSPHERE_1976

    return float(ATMOSPHERE_1976(feet * 0.3048).P)


def by_fluids() -> Iterator[tuple[float, str]]:
    """Air pressure, Pa."""
    for feet in HEIGHTS:
        yield abs(pressure_at(feet) - standard_atmosphere(feet)), f"{feet:,} ft"


def by_fluids_and_coolprop() -> Iterator[tuple[float, str]]:
    """Boiling point from height with nothing of ours in it, °C."""
    for feet in HEIGHTS:
        yield abs(f_to_c(boiling_point_f(feet)) - iapws95(standard_atmosphere(feet))), f"{feet:,} ft"


def _canners() -> Iterator[tuple[int, int]]:
    return ((psi, feet) for psi in PRESSURES for feet in range(HEIGHTS.start, HEIGHTS.stop, 500))


# --- What they printed, and printed tables ---


def kept(block: str, unit: str) -> Callable[[], Differences]:
    """Figures that a library printed once: °C beside the pressure they are for, or Pa by height."""

    def differences() -> Iterator[tuple[float, str]]:
        for key, figures in KEPT[block]["rows"].items():
            if isinstance(figures, list):
                pascals, celsius = map(float, figures)
                yield abs(saturation_temperature_c(pascals) - celsius), f"{float(key):,.0f} {unit}"
            else:
                yield abs(pressure_at(float(key)) - float(figures)), f"{float(key):,.0f} {unit}"

    return differences


def kept_within(block: str) -> float:
    """How close to keep to them, in their unit."""
    return float(next(figure for name, figure in KEPT[block].items() if name.startswith("within_")))


def boiling_table(block: str) -> Callable[[], Differences]:
    """A printed table of boiling points by height, °F."""

    def differences() -> Iterator[tuple[float, str]]:
        for feet, figure in read("boiling-points")[block]["rows"].items():
            printed = float(figure[0] if isinstance(figure, list) else figure)
            yield abs(boiling_point_f(float(feet)) - printed), f"{float(feet):,.0f} ft"

    return differences


def gel_table() -> Iterator[tuple[float, str]]:
    """The printed table of gel points, °F."""
    for feet, printed in read("boiling-points")["gel-table"]["rows"].items():
        yield abs(gel_point_f(float(feet)) - float(printed)), f"{float(feet):,.0f} ft"


def process_times() -> Iterator[tuple[float, str]]:
    """Every printed line of process times, in each of its four bands, minutes. Tomatoes by how they were packed: see the tests."""
    table = with_tables(load()).tables["rows"]
    lines = [line for block in read("process-times")["tables"] for line in block["rows"] if "packed-in" not in line]
    for line in lines:
        story, _, printed = line.partition(" = ")
        product, food, pack, jar, *unsterile = story.split(" / ")
        shortest, _, longest = printed.partition(" to ")
        named = frozenset({food}), frozenset({pack}), frozenset({jar}), frozenset({not unsterile})
        for feet, least, most in zip(
            (0, 1001, 3001, 6001), shortest.split(), (longest or shortest).split(), strict=True
        ):
            found = required_minutes(table, product, *named, feet, feet)  # type: ignore[arg-type]
            off = max(abs(found.lo - float(least)), abs(found.hi - float(most))) if found else float("inf")
            yield off, f"{story} at {feet:,} ft"


def gauge_pressures() -> Iterator[tuple[float, str]]:
    """Every printed gauge pressure, at the top of its band, psi."""
    rows, printed = with_tables(load()).tables["pressure"], read("pressure")["printed"]
    for line in printed["rows"]:
        foods, gauge, figures = line.replace(" = ", " / ").split(" / ")
        for feet, psi in zip(map(float, printed["tops"]), figures.partition(";")[0].split(), strict=True):
            found = published_row(rows, foods, gauge, feet, feet)  # type: ignore[arg-type]
            yield abs(found.psi - float(psi)) if found else float("inf"), f"{foods}, {gauge}, {feet:,.0f} ft"


def steam_table() -> Iterator[tuple[float, str]]:
    """Steam temperatures at the printed pressures, worked out elsewhere from two formulations, °F."""
    for psi, feet, _, printed in read("pressure")["steam"]["rows"]:
        yield abs(steam_temperature_f(float(psi), float(feet)) - float(printed)), f"{psi} psi at {float(feet):,.0f} ft"


def verification_table() -> Iterator[tuple[float, str]]:
    """The table by which the formulation itself wants programs to be checked, K."""
    for megapascals, kelvin in read("boiling-points")["saturation"]["rows"].items():
        ours = saturation_temperature_c(float(megapascals) * 1e6) + 273.15
        yield abs(ours - float(kelvin)), f"{megapascals} MPa"


def weather_table() -> Iterator[tuple[float, str]]:
    """Boiling points at pressures that weather brings, °F."""
    for hectopascals, printed in read("boiling-points")["by-pressure"]["rows"].items():
        ours = c_to_f(saturation_temperature_c(float(hectopascals) * 100))
        yield abs(ours - float(printed)), f"{hectopascals} hPa"


SOURCES = (
    Outside("IAPWS-IF97 by pyXSteam", OVER, "°C", 1e-9, by_pyxsteam, "pyXSteam"),
    Outside("IAPWS-IF97 by pyXSteam, steam", "over 0 to 20 psi", "°C", 1e-9, steam_by_pyxsteam, "pyXSteam"),
    Outside("IAPWS-95 by CoolProp", OVER, "°C", 0.0003, by_coolprop, "CoolProp", True),
    Outside("IAPWS-95 by CoolProp, steam", "over 0 to 20 psi", "°C", 0.0025, steam_by_coolprop, "CoolProp", True),
    Outside("US Standard Atmosphere 1976 by fluids", OVER, "Pa", 15, by_fluids, "fluids", True),
    Outside("fluids and CoolProp together", OVER, "°C", 0.006, by_fluids_and_coolprop, "fluids CoolProp", True),
    Outside("IAPWS-95 by CoolProp, as kept", OVER, "°C", kept_within("boiling"), kept("boiling", "ft")),
    Outside(
        "IAPWS-95 by CoolProp, as kept, steam", "over 5 to 20 psi", "°C", kept_within("steam"), kept("steam", "psi")
    ),
    Outside(
        "US Standard Atmosphere 1976 by fluids, as kept",
        OVER,
        "Pa",
        kept_within("atmosphere"),
        kept("atmosphere", "ft"),
    ),
    Outside("IAPWS-IF97, its own verification table", "over 0.1 to 10 MPa", "K", 1e-6, verification_table),
    Outside("boiling points by weather", "over 960 to 1,040 hPa", "°F", 0.05, weather_table),
    Outside("decimal altitude table", "over 0 to 10,000 ft", "°F", 1.1, boiling_table("decimal-table")),
    Outside("USDA guide, whole degrees", "over 2,000 to 10,000 ft", "°F", 1, boiling_table("guide-table")),
    Outside("rounded altitude table", "over 0 to 10,000 ft", "°F", 1, boiling_table("rounded-table")),
    Outside("gel points by altitude", "over 0 to 8,000 ft", "°F", 0.7, gel_table),
    Outside("steam at the printed pressures", "over 0 to 10,000 ft", "°F", 0.1, steam_table),
    Outside("printed process times", "in every band", "min", 0, process_times),
    Outside("printed gauge pressures", "in every band", "psi", 0, gauge_pressures),
)


def line(source: Outside) -> str:
    """One source as it is printed: "IAPWS-95 by CoolProp: 0.0002 °C over -300 to 10,000 ft (206 values, most at 10,000 ft)"."""
    if source.missing:
        return f"{source.name}: not asked, {' and '.join(source.missing)} not installed"
    off, where, values = largest(source)
    shown = (
        f"{off:.0f}" if source.unit in ("Pa", "min", "psi") else f"{off:.2f}" if source.unit == "°F" else f"{off:.4f}"
    )
    most = f", most at {where}" if float(shown) else ""
    return f"{source.name}: {shown} {source.unit} {source.over} ({values:,} values{most}; allowed {source.within:g})"


if __name__ == "__main__":
    for each in SOURCES:
        print(line(each))
