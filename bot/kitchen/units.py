"""Units of the kitchen, exactly, and how temperatures, heights, lengths and spoonfuls are shown to a person.

Factors are the legal definitions as fractions, so that converting there and back gives the same number. What is shown puts the
person's own units first and the others in brackets.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from math import ceil, floor, isfinite
from types import MappingProxyType

_INCH_MM = Fraction(254, 10)  # international yard and pound agreement, 1959
_POUND_G = Fraction("453.59237")
_GALLON_ML = 231 * Fraction(16387064, 1_000_000)  # 231 cubic inches
_DRY_PINT_ML = Fraction("33.6003125") * Fraction("16.387064")  # 1/64 of a US bushel
_IMPERIAL_GALLON_ML = Fraction("4546.09")
_STANDARD_GRAVITY = Fraction("9.80665")
_MERCURY_MM_PA = Fraction("133.322387415")  # conventional millimetre of mercury

# kind -> unit -> its size in g, mL, mm, s or Pa. US measures unless the name says otherwise.
FACTORS: Mapping[str, Mapping[str, Fraction]] = MappingProxyType(
    {
        "mass": {
            "g": Fraction(1), "kg": Fraction(1000), "oz": _POUND_G / 16, "lb": _POUND_G, "stone": _POUND_G * 14,
        },
        "volume": {
            "mL": Fraction(1), "L": Fraction(1000), "tsp": _GALLON_ML / 768, "tbsp": _GALLON_ML / 256,
            "fl oz": _GALLON_ML / 128, "cup": _GALLON_ML / 16, "pint": _GALLON_ML / 8, "quart": _GALLON_ML / 4,
            "gallon": _GALLON_ML, "dry pint": _DRY_PINT_ML, "dry quart": _DRY_PINT_ML * 2,
            "imperial fl oz": _IMPERIAL_GALLON_ML / 160, "imperial cup": _IMPERIAL_GALLON_ML / 16,
            "imperial pint": _IMPERIAL_GALLON_ML / 8, "imperial quart": _IMPERIAL_GALLON_ML / 4,
            "imperial gallon": _IMPERIAL_GALLON_ML, "metric cup": Fraction(250), "metric tbsp": Fraction(15),
            "metric tsp": Fraction(5), "Australian tbsp": Fraction(20), "gill": _GALLON_ML / 32,
            "imperial gill": _IMPERIAL_GALLON_ML / 32, "label cup": Fraction(240), "Japanese cup": Fraction(200),
            "dessertspoon": Fraction(10), "old UK tbsp": Fraction("17.7"),
        },
        "length": {
            "mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "km": Fraction(1_000_000), "in": _INCH_MM,
            "ft": _INCH_MM * 12, "yd": _INCH_MM * 36, "mile": _INCH_MM * 63360,
        },
        "time": {"s": Fraction(1), "min": Fraction(60), "h": Fraction(3600), "d": Fraction(86400), "week": Fraction(604800)},
        "pressure": {
            "Pa": Fraction(1), "hPa": Fraction(100), "kPa": Fraction(1000), "bar": Fraction(100_000), "atm": Fraction(101_325),
            "psi": _POUND_G / 1000 * _STANDARD_GRAVITY / (_INCH_MM / 1000) ** 2, "inHg": _MERCURY_MM_PA * _INCH_MM,
        },
    }
)  # fmt: skip

TSP_PER_TBSP, TSP_PER_CUP = 3, 48
WATER_G_PER_ML = Fraction("0.9982")  # at 20 °C (Handbook of Chemistry and Physics)
_EIGHTH = Fraction(1, 8)  # the smallest measuring spoon, in teaspoons
_CUP_PARTS = tuple(Fraction(n, 12) for n in (9, 8, 6, 4, 3, 0))  # the cups of a set: 3/4, 2/3, 1/2, 1/3, 1/4
_ROUNDING = Fraction(3, 100)


def convert(amount: Fraction, unit: str, to: str) -> Fraction:
    """The amount in another unit of the same kind, exactly. Temperatures are not amounts: see `f_to_c`.

    Raises ValueError when a unit is not in `FACTORS` or the two measure different things ("oz" is mass, "fl oz" volume).
    """
    for units in FACTORS.values():
        if unit in units and to in units:
            return amount * units[unit] / units[to]
    raise ValueError(f"'{unit}' cannot be told in '{to}': unknown, or not of one kind")


def f_to_c(f: float) -> float:
    """A reading in °F as °C: (F - 32) / 1.8. Not for differences: see `difference_f_to_c`."""
    return (f - 32.0) / 1.8


def c_to_f(c: float) -> float:
    """A reading in °C as °F: C * 1.8 + 32."""
    return c * 1.8 + 32.0


def difference_f_to_c(f: float) -> float:
    """A difference of readings in °F as one in °C: 8 °F more is 4.44 °C more, while a reading of 8 °F is -13.3 °C."""
    return f / 1.8


def difference_c_to_f(c: float) -> float:
    """A difference of readings in °C as one in °F: 5 °C more is 9 °F more, while a reading of 5 °C is 41 °F."""
    return c * 1.8


def _both(us: str, si: str, metric: bool) -> str:
    return f"{si} ({us})" if metric else f"{us} ({si})"


def _nearest(value: float | Fraction) -> int:
    """Half rounds up, as people do it."""
    return floor(value + Fraction(1, 2)) if isinstance(value, Fraction) else floor(value + 0.5)


def _checked(value: float, what: str) -> None:
    if not isfinite(value):
        raise ValueError(f"no {what} can be shown for {value}")


def show_temperature(f: float, metric: bool) -> str:
    """A temperature given in °F: "202.8 °F (94.9 °C)", or °C first when `metric`. One decimal, none for a whole degree.

    A tenth is finer than a kitchen thermometer but keeps the two units in step. Raises ValueError unless `f` is finite.
    """
    _checked(f, "temperature")
    us, si = (f"{_nearest(value * 10) / 10:g}" for value in (f, f_to_c(f)))
    return _both(f"{us} °F", f"{si} °C", metric)


def show_altitude(feet: float, metric: bool) -> str:
    """A height given in feet: "5,000 ft (1,524 m)", or metres first when `metric`. Whole units; heights below the sea are negative.

    Raises ValueError unless `feet` is finite.
    """
    _checked(feet, "height")
    return _both(f"{_nearest(feet):,} ft", f"{_nearest(feet * 0.3048):,} m", metric)


def show_length_in(inches: Fraction | float, metric: bool) -> str:
    """A length given in inches: "1/4 in (6 mm)", or whole millimetres first when `metric`. Range 0 and up.

    Sixteenths are shown as they are; anything else goes to the nearest eighth, or sixteenth under an eighth, which is as fine as
    kitchen rulers are. The millimetres are those of the length given. Raises ValueError when negative or not finite.
    """
    _checked(float(inches), "length")
    length = Fraction(inches)
    if length < 0:
        raise ValueError(f"a length cannot be {inches} in")
    step = 16 if length < _EIGHTH or (length * 16).denominator == 1 else 8
    return _both(f"{mixed(Fraction(_nearest(length * step), step))} in", f"{_nearest(length * _INCH_MM)} mm", metric)


def mixed(number: Fraction) -> str:
    """A number of 0 or more as people write it: "3/4", "2", "3 3/4". Raises ValueError when negative."""
    if number < 0:
        raise ValueError(f"{number} is not an amount")
    whole, part = divmod(number, 1)
    return " ".join(filter(None, (str(whole) if whole or not part else "", str(part) if part else "")))


def kitchen_measure(teaspoons: Fraction, never_below: bool = False) -> str:
    """An amount of US teaspoons in cups and spoons: "2 tbsp", "1/4 cup", "3 3/4 tsp", "1 cup + 2 tbsp".

    Eighths of a teaspoon are told exactly. Anything between is rounded to the nearest step (up, if `never_below`, as acid has to be)
    that keeps the error within 3 %. Steps end at 1/8 tsp, the smallest spoon: amounts under 2 1/12 tsp (4 1/6 with `never_below`)
    that are no eighths can be up to 1/16 tsp (1/8) off, which is 0.3 mL (0.6 mL).

    Raises ValueError for an amount that is not above 0.
    """
    if teaspoons <= 0:
        raise ValueError(f"{teaspoons} tsp is nothing to measure")
    return _in_spoons(_rounded(teaspoons, never_below))


def _rounded(teaspoons: Fraction, never_below: bool) -> Fraction:
    if (teaspoons / _EIGHTH).denominator == 1:
        return teaspoons
    worst = Fraction(1) if never_below else Fraction(1, 2)  # of a step
    steps = (Fraction(3), Fraction(1), Fraction(1, 2), Fraction(1, 4))
    step = next((s for s in steps if s * worst <= _ROUNDING * teaspoons), _EIGHTH)
    count = ceil(teaspoons / step) if never_below else _nearest(teaspoons / step)
    return max(count, 1) * step


def _in_spoons(teaspoons: Fraction) -> str:
    """The fewest spoons and cups that hold exactly this; of equals the one with the larger cup."""
    cups = teaspoons // TSP_PER_CUP
    ways = [
        ([(cups + part, "cup")] if cups + part else []) + _without_cups(teaspoons - (cups + part) * TSP_PER_CUP)
        for part in _CUP_PARTS
        if (cups + part) * TSP_PER_CUP <= teaspoons
    ]
    best = min(ways, key=len)  # the first of the shortest, and the larger cups come first
    return " + ".join(f"{mixed(n)} {unit}{'s' if unit == 'cup' and n > 1 else ''}" for n, unit in best)


def _without_cups(teaspoons: Fraction) -> list[tuple[Fraction, str]]:
    if teaspoons >= TSP_PER_TBSP and (teaspoons * 2 / TSP_PER_TBSP).denominator == 1:
        return [(teaspoons / TSP_PER_TBSP, "tbsp")]
    tablespoons = teaspoons // TSP_PER_TBSP if teaspoons >= 2 * TSP_PER_TBSP else 0
    rest = teaspoons - tablespoons * TSP_PER_TBSP
    return [(Fraction(n), unit) for n, unit in ((tablespoons, "tbsp"), (rest, "tsp")) if n]
