"""Days, parts of days and stretches of the calendar."""

from __future__ import annotations

from datetime import date, timedelta

from bot.engine.moment import AHEAD, ENDS, PARTS, TOLD_NOW, Piece, Reading
from bot.engine.numbers import Tokens, read_number, word_set
from bot.engine.quantities import MONTHS
from bot.engine.told_times import WEEKDAYS
from bot.engine.unit_words import unit_at

LATE = word_set("night nite evening eve tonight")
# "sat down", "wed", "in the sun": days only beside "on" or a part of the day.
_ALSO_WORDS = word_set("mon wed sat sun")
_MONTHS = {w: n for n, m in enumerate(MONTHS, 1) for w in (m, m[:3])} | {"sept": 9}
_SEASONS = {"spring": 3, "summer": 6, "summers": 6, "autumn": 9, "fall": 9, "winter": 12}  # northern
_COMING = word_set("arriving arrive arrives coming judged due will for going this every each")
_MAY_WHAT = word_set("be have not need still also well only")
DAY_WORDS = (
    WEEKDAYS.keys()
    | _MONTHS.keys()
    | _SEASONS.keys()
    | word_set("yesterday yday yest today tonight tonite overnight this last week weekend month year years year's")
)


def day_at(r: Reading, i: int) -> Piece | None:
    """The day, part of a day, or stretch of calendar at token i. In the small hours "last night" has two readings."""
    t = r.t
    word, previous, following = t.words[i], t.words[i - 1], t.words[i + 1]
    early = r.small_hours
    if word in ("yesterday", "yday", "yest"):
        if previous == "before" and t.words[i - 2] == "day":
            return _with_part(r, i - 2, i + 1, (2,))
        return _with_part(r, i, i + 1, (1,))
    if word == "today" and following != "is":
        return Piece(i, i + 1, (0,))
    if word in ("tonight", "tonite"):
        return Piece(i, i + 1, (1, 0) if early else (0,), window=PARTS["night"], part="night")
    if word == "overnight":
        return Piece(i, i + 1, (1,), window=(1080, 1440 + 540), part="night")
    if word == "this" and following in PARTS:
        if following == "morning" and early:
            return Piece(i, i + 2, (0,), window=(0, 720), part="morning")
        return _with_part(r, i, i + 1, (1, 0) if early and following in LATE else (0,))
    if word == "last" and following in LATE:
        piece = _with_part(r, i, i + 1, (2, 1) if early else (1,))
        return piece._replace(window=PARTS["night"])
    if word in WEEKDAYS:
        known = previous in ("on", "since", "last", "from") or following in PARTS
        if (word in _ALSO_WORDS and not known) or t.near(i - 3, i, _COMING | AHEAD) or previous in TOLD_NOW:
            return None
        return _with_part(r, i, i + 1, ((r.today.weekday() - WEEKDAYS[word] - 1) % 7 + 1,))
    return _calendar_day(r, i) or _stretch(r, i)


def _with_part(r: Reading, first: int, after: int, days: tuple[int, ...]) -> Piece:
    word = r.t.words[after]
    if word in PARTS:
        return Piece(first, after + 1, days, window=PARTS[word], part=word)
    return Piece(first, after, days)


def _calendar_day(r: Reading, i: int) -> Piece | None:
    """ "3rd of march", "12 august", "august 12"; "may" and "march" only with an ordinal: "10 may be enough"."""
    t = r.t
    month = _MONTHS.get(t.words[i], 0)
    if not month:
        return None
    plain = t.words[i] not in ("may", "march", "mar")
    k = i - 1 - (t.words[i - 1] == "of")
    ordinal = t.words[k] in ("st", "nd", "rd", "th") and t.glued(k)
    for first, after, sure in (
        (k - ordinal, i + 1, ordinal or k < i - 1 or plain),
        (i, i + 2, (plain and t.words[i + 2] in ENDS) or t.words[i + 2] in ("st", "nd", "rd", "th")),
    ):
        day = t.words[first if first != i else i + 1]
        if sure and day.isascii() and day.isdigit() and len(day) < 3:
            for year in (r.today.year, r.today.year - 1, r.today.year - 4):
                try:
                    back = (r.today - date(year, month, int(day))).days
                except ValueError:
                    continue
                if back >= 0:
                    return Piece(first, after, (back,))
    return None


def _stretch(r: Reading, i: int) -> Piece | None:
    """A stretch of the calendar: "last week", "at the weekend", "in august", "last summer", "from 2008"."""
    t, today = r.t, r.today
    first = i - 1 - (t.words[i - 1] in ("the", "early", "late", "mid"))
    word, previous = t.words[i], t.words[first]
    last = previous == "last"
    if last and word == "week":
        return Piece(first, i + 1, span=(r.back(14), r.back(7)))
    if last and word == "month":
        end = today.replace(day=1)
        return r.between(first, i + 1, (end - timedelta(days=1)).replace(day=1), end)
    if last and word in ("year", "years", "year's"):
        return r.between(first, i + 1, date(today.year - 1, 1, 1), date(today.year, 1, 1))
    if word == "weekend" and previous in ("last", "at", "over", "since", "on"):
        saturday = today - timedelta(days=(today.weekday() - 5) % 7 + (7 if last and today.weekday() > 4 else 0))
        return r.between(first, i + 1, saturday, saturday + timedelta(days=2))
    if word in _MONTHS and _year_said(r, i + 1)[0]:
        first = i if previous not in ("in", "since", "from") else first
    elif previous not in ("last", "in", "since", "from", "during", "this", "over"):
        return None
    year, after = _year_said(r, i + 1)
    if word in _MONTHS and t.words[i + 1] not in _MAY_WHAT:
        begin = date(year or today.year - (_MONTHS[word] > today.month - last), _MONTHS[word], 1)
        return r.between(first, after, begin, (begin + timedelta(days=31)).replace(day=1))
    if word in _SEASONS:
        begin = date(year or today.year, _SEASONS[word], 1)
        while begin + timedelta(days=92 if last else 0) > today and not year:
            begin = begin.replace(year=begin.year - 1)
        return r.between(first, after, begin, (begin + timedelta(days=93)).replace(day=1))
    if 1950 <= (year := year_at(t, i)) <= today.year:
        return r.between(first, i + 1, date(year, 1, 1), date(year + 1, 1, 1))
    return None


def _year_said(r: Reading, i: int) -> tuple[int, int]:
    """The year at token i behind a month or a season ("2024", "last year") and the token behind it; (0, i) for none."""
    if (r.t.words[i], r.t.words[i + 1]) == ("last", "year"):
        return r.today.year - 1, i + 2
    year = year_at(r.t, i)
    return (year, i + 1) if 1950 <= year <= r.today.year else (0, i)


def year_at(t: Tokens, i: int) -> int:
    """The year at token i, 0 where there is none: "2000 ft" is not."""
    word = t.words[i]
    n = read_number(t, i) if len(word) == 4 and word.isascii() and word.isdigit() else None
    return int(word) if n and n.after == i + 1 and unit_at(t, n.after, n, i) is None else 0
