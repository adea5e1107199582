"""Times told by a stretch: "3 hours ago", "five days old", "just took them out"."""

from __future__ import annotations

from bot.engine.moment import ABOUT, TOLD_NOW, Reading
from bot.engine.numbers import word_set
from bot.engine.quantities import Quantity, quantities_in
from bot.engine.unit_words import DURATIONS

# Days to either side of "2 weeks ago".
_HALF = {"day": 0.5, "week": 3.5, "fortnight": 3.5, "month": 15.0, "year": 182.0}
_UNCOUNTED = {  # "week ago"; "weeks ago": least and most days
    "second": (0, 5 / 1440), "minute": (0, 5 / 1440), "minutes": (1 / 720, 1 / 24),
    "hour": (1 / 24, 1 / 24), "hours": (1 / 12, 0.5),
    "day": (0.5, 1.5), "days": (1.5, 7), "week": (3.5, 10.5), "weeks": (10.5, 56),
    "month": (15, 45), "months": (45, 365), "year": (183, 547), "years": (547, 7300),
}  # fmt: skip
_PEOPLE = word_set(
    "son daughter kid kids boy girl grandson granddaughter grandchild child twins nephew niece man woman lady"
)
_TAKEN = word_set("took taken taking pulled came come got lifted")
_HEATED_IN = word_set("canner bath pot pan water kettle boil boiling steamer cooker waterbath")
_NOTICED = word_set(
    "noticed notice saw seen found find read reading realised realized checked check looked looking opened heard tasted"
)
_BEFORE_AGO = word_set("or so ish - maybe now roughly i think already ?")
_TOOK_TIME = word_set("in boiling on at into to under")


def read_durations(r: Reading) -> None:
    """Adds what is told by a stretch of time: "3 hours ago", "five days old", "been out an hour", "just out"."""
    t = r.t
    if t.near(0, t.count, word_set("ago back old later since been now")):
        token_after = {end: k + 1 for k, end in enumerate(t.ends)}
        token_at = {start: k for k, start in enumerate(t.starts)}
        for q in quantities_in(t):
            if q.kind in DURATIONS:
                _duration(r, q, token_at[q.start], token_after[q.end])
        taken = {m.end for m in r.found}
        for k in range(1, t.count):
            if t.words[k] == "ago" and t.words[k - 1] in _UNCOUNTED and t.ends[k] not in taken:
                least, most = _UNCOUNTED[t.words[k - 1]]
                first = k - 1 - (t.words[k - 2] in ("a", "an"))
                r.add("ago", first, k + 1, r.back(most), r.back(least), least != most)
    for k in range(t.count):
        if t.words[k] == "just" and not any(m.kind == "ago" for m in r.found):
            _just(r, k)


def _duration(r: Reading, q: Quantity, first: int, after: int) -> None:
    t, k = r.t, after
    while k < after + 3 and t.words[k] in _BEFORE_AGO:
        k += 1
    k += t.words[k] == "-" and t.words[k + 1] == "old"
    word, following = t.words[k], t.words[k + 1]
    before = first - 1
    while t.words[before] in ABOUT or t.words[before] in ("for", "over", "like", "nearly", "almost", "than", "more"):
        before -= 1
    been = t.words[before] == "been" or (t.words[before] == "out" and t.near(before - 4, before, word_set("been")))
    if word == "old":
        if t.words[k + 1] not in _PEOPLE:
            _elapsed(r, q, "age", first, k + 1)
    elif (
        word == "ago"
        or (word == "back" and q.kind != "minutes" and following not in _TOOK_TIME)
        or (word == "later" and q.kind == "days")
        or (word == "since" and t.words[before] in TOLD_NOW)
    ):
        _elapsed(r, q, "ago", first, k + 1)
    elif (been or (t.words[after] == "now" and q.kind != "minutes")) and word not in _TOOK_TIME:
        _elapsed(r, q, "ago", first, after)


def _elapsed(r: Reading, q: Quantity, kind: str, first: int, after: int) -> None:
    per_day = {"minutes": 1440, "hours": 24, "days": 1}[q.kind]
    lo, hi, half = float(q.lo / per_day), float(q.hi / per_day), _HALF.get(q.unit, 0.0)
    if q.approx:  # its own reach or half a unit, whichever is more
        middle = (lo + hi) / 2
        lo, hi = min(lo, middle - half), max(hi, middle + half)
    else:
        lo, hi = lo - half, hi + half
    r.add(kind, first, after, r.back(hi), r.back(lo), lo < hi)


def _just(r: Reading, k: int) -> None:
    """ "just now", "just took them out": of the heat only, for wrongly read it makes jars younger than they are."""
    t = r.t
    word, after = t.words[k + 1], k + 2
    if word in _TAKEN:
        after = next((m + 1 for m in range(k + 2, k + 6) if t.words[m] == "out"), 0)
    elif word not in ("now", "out"):
        return
    elsewhere = t.words[after] == "of" and not t.near(after, after + 4, _HEATED_IN)
    if after and not elsewhere and not t.near(k - 3, after + 3, _NOTICED):
        r.add("ago", k, after, r.back(15 / 1440), r.now, True)
