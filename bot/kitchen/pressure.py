"""How hot the steam of a pressure canner is, and which gauge pressure the published tables ask for at a height.

Pressures are gauge pressures in psi (pounds on the gauge, above the air outside), temperatures °F, heights feet. What a table does not
print there is not worked out: the temperature of the steam explains a row and never replaces one.
"""

from collections.abc import Iterable
from math import isfinite
from typing import NamedTuple

from bot.kitchen.boiling import pressure_at, saturation_temperature_c
from bot.kitchen.units import FACTORS, c_to_f

HIGHEST_PSI = 20.0
# A dial that is further off is replaced, not allowed for (USDA Complete Guide to Home Canning, Guide 1 (2015)).
MOST_DIAL_ERROR_PSI = 2.0
_PASCALS_PER_PSI = float(FACTORS["pressure"]["psi"])


class PressureRow(NamedTuple):
    """One figure of a published table: `psi` for these foods on this gauge, from over `above_ft` to `to_ft`, that height included."""

    id: str
    foods: str
    gauge: str
    above_ft: float
    to_ft: float
    psi: float
    source: str


def steam_temperature_f(psi: float, feet: float) -> float:
    """Temperature of pure steam at a gauge pressure and height, °F: 241.56 at 11 psi by the sea, 233.6 at 10 psi and 5,000 ft.

    T = saturation temperature at (psi * 6,894.757 Pa + air pressure at that height): `saturation_temperature_c` (IAPWS-IF97) over
    `pressure_at` (US Standard Atmosphere 1976). Range 0 to 20 psi and -1,000 to 15,000 ft. It holds for a canner that was vented: air
    in the steam makes it cooler at the same reading (Pacific Northwest Extension 421). Ordinary weather is worth 0.9 °F either way.

    Raises ValueError outside the range.
    """
    if not 0.0 <= psi <= HIGHEST_PSI:
        raise ValueError(
            f"{psi:g} psi is no pressure of a canner: 0 to {HIGHEST_PSI:g} psi can be worked out. Is it kPa?"
        )
    return c_to_f(saturation_temperature_c(psi * _PASCALS_PER_PSI + pressure_at(feet)))


def published_row(
    rows: Iterable[PressureRow], foods: str, gauge: str, altitude_lo: float, altitude_hi: float
) -> PressureRow | None:
    """The row that asks for most over every height still possible (ft, both ends included).

    A foot is not rounded away: anything above the top of a band takes the next one, so that between two printed bands the stricter
    holds. Gives None when some possible height lies above the last band, or when the table has nothing for these foods or this gauge:
    nothing is published then, and nothing may be put in its place.

    Raises ValueError for heights in the wrong order and for what is not a number.
    """
    if not altitude_lo <= altitude_hi:
        raise ValueError(f"heights from {altitude_lo} to {altitude_hi} ft are in the wrong order, or no numbers")
    bands = [row for row in rows if row.foods == foods and row.gauge == gauge and row.to_ft >= altitude_lo]
    if not any(row.to_ft >= altitude_hi for row in bands):
        return None
    return max((row for row in bands if row.above_ft < altitude_hi or row.above_ft <= 0), key=lambda row: row.psi)


def dial_setting(psi: float, reads_high_psi: float) -> float:
    """What a dial has to show for a true pressure, psi, when a test found that it reads so much too high.

    As much more as it reads high; a dial that reads low is left where the table puts it, which is the safe side. A published table of
    the 1970s (USDA, home canning of meat and poultry) allows for 4 psi; the present guide replaces a dial that is more than 2 psi off
    (USDA Complete Guide to Home Canning, Guide 1 (2015)).

    Raises ValueError for more than 2 psi either way, and for what is not a number.
    """
    if not (isfinite(psi) and abs(reads_high_psi) <= MOST_DIAL_ERROR_PSI):
        raise ValueError(
            f"a dial that is {reads_high_psi:g} psi off has to be replaced: only {MOST_DIAL_ERROR_PSI:g} are allowed for"
        )
    return psi + max(reads_high_psi, 0.0)
