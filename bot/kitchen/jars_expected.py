"""How many jars a batch will fill: how many are promised, and how many to make ready.

Masses are grams, volumes millilitres, densities kilograms a cubic metre. All of it tells about yield only.
"""

from __future__ import annotations

from math import ceil, floor
from typing import NamedTuple

from bot.kitchen.ranges import Range, told_in

FILLED_C, COLD_C = 100.0, 20.0  # jars are filled at the boil; by the next day the level has sunk
# Coefficients of the density of sucrose solutions; their use stands at `density`.
# fmt: off
_BY_SHARE = (
    (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890),
    (-46.2720, -7.1720, 1.1597, 5.1126, 17.5254),
    (59.7712, 7.2491, 12.3630, -35.4791),
    (-47.2207, -21.6977, 27.6301),
    (18.3184, 12.3081),
)
_WATER = (999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12)
# fmt: on


class JarsExpected(NamedTuple):
    """`promised` whole jars will be filled; `ready` is how many to make ready, one at least more. `volume`: the batch in mL."""

    promised: int
    ready: int
    volume: Range

    @property
    def jars(self) -> Range:
        """From promised to ready."""
        return Range(self.promised, self.ready, "jars")


def density(percent: float, celsius: float) -> float:
    """Density of a sucrose solution, kg/m³ (g/L). Range 0 to 85 % and 0 to 100 °C; above 80 °C it is drawn on, good to 3.

    With w = percent / 100 and s = (t - 20) / 100,

        ρ = ρ_water(t) + Σ a_i w^i + s Σ b_i w^i + s² Σ c_i w^i + s³ Σ d_i w^i + s⁴ Σ e_i w^i      i = 1, 2 ...
        ρ_water = (999.83952 + 16.952577 t - 7.9905127e-3 t² - 46.241757e-6 t³ + 105.84601e-9 t⁴ - 281.03006e-12 t⁵)
                  / (1 + 16.887236e-3 t)

        a   385.1761   135.3705   40.9299    -3.9643   13.4853   -17.2890
        b   -46.2720    -7.1720    1.1597     5.1126   17.5254
        c    59.7712     7.2491   12.3630   -35.4791
        d   -47.2207   -21.6977   27.6301
        e    18.3184    12.3081

    (ICUMSA specification SPS-4, the polynomial of Bettin, Emmerich and others). Jam is close to the solution of the same solids.

    Raises ValueError outside the range.
    """
    if not (0 <= percent <= 85 and 0 <= celsius <= 100):
        raise ValueError(f"no density is known at {percent} % and {celsius} °C: give 0 to 85 % and 0 to 100 °C")
    w, s = percent / 100, (celsius - 20) / 100
    water = sum(each * celsius**power for power, each in enumerate(_WATER)) / (1 + 16.887236e-3 * celsius)
    return water + sum(
        s**step * sum(each * w**power for power, each in enumerate(row, 1)) for step, row in enumerate(_BY_SHARE)
    )


def volume_of(mass: Range, solids: Range) -> Range:
    """Room that a batch of so many g with so much soluble solids (%) takes, mL: mass / density, from cold to filled at the boil.

    Raises ValueError for no mass and as `density`.
    """
    told_in(mass, "g", "the weight of the batch", 1.0)
    told_in(solids, "%", "the soluble solids", most=85.0)
    return Range(mass.lo / density(solids.hi, COLD_C) * 1000, mass.hi / density(solids.lo, FILLED_C) * 1000, "mL")


def jars_of_volume(volume: Range, jar_ml: float) -> JarsExpected:
    """Jars that so many mL fill, each to its nominal size in mL (20 to 4,000), which is reckoned at the usual headspace.

    The promise is rounded down and the number to make ready up, so that none is missing at the hot pot; a jar filled in part is not
    promised, since it has to be kept cold. The two are never the same number.

    Raises ValueError for no volume or a size that no jar has.
    """
    told_in(volume, "mL", "the volume of the batch", 1.0)
    if not 20 <= jar_ml <= 4_000:
        raise ValueError(f"{jar_ml:g} mL is no size of a jar: give 20 to 4,000 mL")
    promised = floor(round(volume.lo / jar_ml, 9))
    return JarsExpected(promised, max(ceil(round(volume.hi / jar_ml, 9)), promised + 1), volume)


def jars_of_weight(mass: Range, solids: Range, jar_ml: float) -> JarsExpected:
    """Jars that a finished batch of so many g with so much soluble solids (%) fills: `volume_of`, then `jars_of_volume`."""
    return jars_of_volume(volume_of(mass, solids), jar_ml)
