"""Degrees on the other scale, as readings and as differences; gas marks, which are none."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

from bot.engine.figures import NOT_ASKED, Ask, Figure
from bot.engine.figures.story import tells_of_jars
from bot.engine.numbers import Tokens, read_number
from bot.kitchen.units import c_to_f, difference_c_to_f, difference_f_to_c, show_temperature
from bot.kitchen.which_unit import gas_mark_words

_FREEZING_F = 32  # nothing in a jar is colder: so few degrees Fahrenheit may be meant as a difference
_COLDEST_F, _HOTTEST_F = -459.67, 2_000.0
_DEGREES = frozenset("degree degrees deg degs ° º ˚".split())
_SCALES = {"f": "F", "fahrenheit": "F", "farenheit": "F", "c": "C", "celsius": "C", "celcius": "C", "centigrade": "C"}
_DIFFERENCE = re.compile(
    r"\b(?:difference|differ|higher|lower|above|below|more|less|warmer|hotter|cooler|colder|rise|rises|drop|drops|apart|off|over|under|gap)\b"
)
_TWO_SCALES = re.compile(r"\b(?:fahrenheit|celsius|centigrade) (?:to|into|in) (?:fahrenheit|celsius|centigrade)\b")
_MARK = re.compile(r"\b(?:gas ?(?:mark|no|number|regulo)?|regulo) ?([\w/½¼]+)?|\bmark ([\d/½¼]+|s)\b")


class Degrees(NamedTuple):
    """A number of degrees as it was told; `scale` is F, C or empty."""

    number: float
    scale: str


def other_degrees(ask: Ask) -> Figure:
    """A reading on the other scale; or a difference of readings, which converts without the 32."""
    told, target = degrees_named(ask.last)
    target = target or next((asked for each in ask.earlier if (asked := degrees_named(each)[1])), "")
    if not told and target and _TWO_SCALES.search(ask.last):
        return Figure(of_this_kitchen=False)
    if not told or len(told) > 2 or tells_of_jars(ask) or not (target or "convert" in ask.last):
        return NOT_ASKED
    scale = next((each.scale for each in told if each.scale), "")
    if len({each.scale for each in told if each.scale}) > 1 or scale == target != "":
        return NOT_ASKED
    scale = scale or {"C": "F", "F": "C"}.get(target, "")
    shown: Callable[[float, bool], str] = _difference if _DIFFERENCE.search(ask.last) else _reading
    way = "difference" if shown is _difference else "reading"
    if any(not _COLDEST_F <= (each.number if scale != "C" else c_to_f(each.number)) <= _HOTTEST_F for each in told):
        return Figure("no-such-degrees", of_this_kitchen=False)
    if not scale:
        values = {"if_f": shown(told[0].number, False), "if_c": shown(told[0].number, True)}
        return Figure(f"{way}-either", values, of_this_kitchen=False)
    if way == "reading" and scale == "F" and len(told) == 1 and 0 < told[0].number < _FREEZING_F:
        both = {"reading": _reading(told[0].number, False), "difference": _difference(told[0].number, False)}
        return Figure("reading-or-difference", both, of_this_kitchen=False)
    values = {"shown": " to ".join(shown(each.number, scale == "C") for each in told)}
    return Figure(way, values, of_this_kitchen=False)


def _reading(number: float, celsius: bool) -> str:
    """A reading of the scale told, the other scale first."""
    return show_temperature(c_to_f(number) if celsius else number, not celsius)


def _difference(number: float, celsius: bool) -> str:
    other = difference_c_to_f(number) if celsius else difference_f_to_c(number)
    own, wanted = ("°C", "°F") if celsius else ("°F", "°C")
    return f"{round(other, 1):g} {wanted} ({number:g} {own})"


def degrees_named(plain: str) -> tuple[list[Degrees], str]:
    """Numbers of degrees, and the scale that is asked for (F, C or empty)."""
    t, found, target, i = Tokens(plain), [], "", 0
    while i < t.count:
        n = read_number(t, i)
        if n is not None and n.form != "article":
            j = n.after + (t.words[n.after] in _DEGREES)
            scale = _SCALES.get(t.words[j], "")
            negative = t.words[i - 1] in ("-", "−", "minus") and i > 0 and not (t.glued(i - 1) and i > 1)
            if j > n.after or scale or t.words[j] in ("in", "to", "into", "difference") or not t.words[j]:
                found.append(Degrees(float(-n.lo if negative else n.lo), scale))
            i = max(j + bool(scale), i + 1)
            continue
        if t.words[i] in _SCALES and (len(t.words[i]) > 1 or t.words[i - 1] in ("in", "to", "into", "as")):
            target = target or _SCALES[t.words[i]]
        i += 1
    return found, target


def gas_mark(ask: Ask) -> Figure:
    """Why a gas mark is not turned into degrees."""
    match = _MARK.search(ask.last)
    if match is None or tells_of_jars(ask):
        return NOT_ASKED
    mark = match.group(1) or match.group(2) or ""
    if not any(each.isdigit() or each in "½¼" for each in mark) and mark != "s":
        return Figure("any-mark", of_this_kitchen=False)
    try:
        gas_mark_words(f"gas mark {mark}")
    except ValueError:
        return Figure("no-such-mark", {"mark": mark}, of_this_kitchen=False)
    return Figure("mark", {"mark": mark.upper()}, of_this_kitchen=False)
