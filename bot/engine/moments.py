"""Times in free text as intervals of the past, and how deadlines are reckoned and told.

People give ranges ("last night", "about 9", "on Sunday") and a deadline rests on them, so both ends are kept: what must
be done by a time counts from `earliest`, what must have stood long enough from `latest`. Elapsed time is reckoned in
UTC: the day on which the clocks go back has 25 hours. A wall time that a change of clocks repeats or skips is read as
the earlier instant.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from typing import NamedTuple

from bot.engine.quantities import (
    DURATIONS,
    MONTHS,
    Quantity,
    Tokens,
    quantities_in,
    read_number,
    unit_at,
    word_list,
    word_set,
)

# ---- reckoning and telling -------------------------------------------------------------------------------------------

_WEEK = (
    "monday mon, tuesday tue tues, wednesday wed weds, thursday thu thur thurs, friday fri, saturday sat, sunday sun"
)
WEEKDAYS = {word: n for n, day in enumerate(_WEEK.split(", ")) for word in day.split()}
WEEKDAY_NAMES = tuple(w.capitalize() for w in WEEKDAYS if w.endswith("day"))


def instant(day: date, minutes: int, zone: tzinfo | None) -> datetime:
    """A wall time as an instant in UTC, the earlier one where there are two. Minutes may pass 24:00."""
    wall = datetime(day.year, day.month, day.day, tzinfo=zone) + timedelta(minutes=minutes)
    return min(wall.replace(fold=fold).astimezone(UTC) for fold in (0, 1))


def deadline(start_earliest: datetime, hours: float) -> datetime:
    """The instant `hours` of elapsed time (not of wall-clock time) after an aware start, in the start's zone."""
    return (start_earliest.astimezone(UTC) + timedelta(hours=hours)).astimezone(start_earliest.tzinfo)


def round_down(dt: datetime, vague: bool) -> datetime:
    """To the 5 minutes before, or the quarter hour when the start was vague: never to the late side."""
    return dt.replace(minute=dt.minute - dt.minute % (15 if vague else 5), second=0, microsecond=0)


def span_words(span: timedelta) -> str:
    """A remaining time rounded down: "40 min", from an hour "5 h", from two days "3 days". Nothing below "0 min"."""
    minutes = max(0, span // timedelta(minutes=1))
    return (
        f"{minutes} min" if minutes < 60 else f"{minutes // 60} h" if minutes < 48 * 60 else f"{minutes // 1440} days"
    )


def clock_words(dt: datetime, now: datetime) -> str:
    """An instant as told in the zone of `now`: "20:30 today", within six days "14:00 on Friday", else "3 March"."""
    dt = dt.astimezone(now.tzinfo)
    ahead = (dt.date() - now.date()).days
    named = {-1: "yesterday", 0: "today", 1: "tomorrow"}.get(ahead)
    if named or -7 < ahead < 7:
        return f"{dt:%H:%M} {named or 'on ' + WEEKDAY_NAMES[dt.weekday()]}"
    return f"{dt.day} {MONTHS[dt.month - 1].capitalize()}" + ("" if dt.year == now.year else f" {dt.year}")


# ---- what is read ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Moment:
    """earliest <= latest <= now, in the zone of `now`; the text is at start:end.

    kind: ago ("3 h ago", "just took them out"), clock, day-part (a day, a part of one, or a longer stretch of the
    calendar), since ("since Sunday": it began then), age ("five days old"). `vague`: a stretch was given, not a point.
    """

    earliest: datetime
    latest: datetime
    vague: bool
    start: int
    end: int
    kind: str


NIGHT_OWL = 5 * 60  # minutes after midnight until which "last night" may still mean the evening before
LONGEST = 36_500  # days; nothing in a larder is older, and calendars end
PARTS = {  # minutes after midnight
    "morning": (300, 720), "afternoon": (720, 1080), "lunchtime": (690, 840), "lunch": (690, 840),
    "evening": (1020, 1440), "eve": (1020, 1440), "night": (1080, 1440), "nite": (1080, 1440),
}  # fmt: skip
ABOUT = word_set("about around approx approximately roughly maybe circa bout abt ~ probably")
AHEAD = word_set("until till til by next before tomorrow")
TOLD_NOW = word_set("its it's is now gone todays today's")
ENDS = word_set(". ! ? ; , )") | {""}


class Piece(NamedTuple):
    """A day, a clock time or both, or a stretch worked out already (`span`), at tokens first to after - 1."""

    first: int
    after: int
    days: tuple[int, ...] = ()  # days back from today's date; two of them are two readings
    clocks: tuple[int, ...] = ()  # minutes after midnight; two of them are the readings before and after noon
    window: tuple[int, int] | None = None
    part: str = ""  # morning, night, ...: decides between the readings of a clock time
    approx: bool = False
    bare: bool = False  # only a number: a time only beside a day or a verb of time
    span: tuple[datetime, datetime] | None = None  # worked out already, in UTC


class Reading:
    """A message being read at a time: its tokens, the clock in UTC and on the wall, and the moments found so far."""

    def __init__(self, text: str, now: datetime) -> None:
        self.t = Tokens(text)
        self.now = now.astimezone(UTC)
        self.zone = now.tzinfo
        self.today = now.date()
        self.small_hours = now.hour * 60 + now.minute < NIGHT_OWL
        self.found: list[Moment] = []

    def add(self, kind: str, first: int, after: int, earliest: datetime, latest: datetime, vague: bool) -> None:
        """Keeps a moment, cut off at now; one that would lie wholly in the future is none."""
        if earliest <= self.now:
            earliest, latest = earliest.astimezone(self.zone), min(latest, self.now).astimezone(self.zone)
            self.found.append(Moment(earliest, latest, vague, self.t.starts[first], self.t.ends[after - 1], kind))

    def back(self, days: float) -> datetime:
        """So many days of elapsed time before now."""
        return self.now - timedelta(days=min(max(days, 0), LONGEST))

    def between(self, first: int, after: int, begin: date, end: date) -> Piece:
        """The days from begin up to, not including, end."""
        return Piece(first, after, span=(instant(begin, 0, self.zone), instant(end, 0, self.zone)))


# ---- how long ago, how old -------------------------------------------------------------------------------------------

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
    if t.near(0, t.count, word_set("ago back old later since been")):
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
    elif been and word not in _TOOK_TIME:
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


# ---- days ------------------------------------------------------------------------------------------------------------

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


# ---- clock times -----------------------------------------------------------------------------------------------------

_HOUR_WORDS = {
    w: n for n, w in enumerate(word_list("one two three four five six seven eight nine ten eleven twelve"), 1)
}
CLOCK_WORDS = _HOUR_WORDS.keys() | {"noon", "midday", "midnight", "lunchtime", "lunch", "half", "quarter"}
_AFTER_CLOCK = ENDS | word_set("last this yesterday yday today tonight in on and so but i its it now or - then ish")


def _face(word: str) -> tuple[int, int, bool] | None:
    """Hour, minute (-1 where none was said) and whether it is sure which half of the day: "18:20", "09:30"."""
    if word in _HOUR_WORDS:
        return _HOUR_WORDS[word], -1, False
    hour, colon, minute = word.replace(".", ":").partition(":")
    if not (word.isascii() and hour.isdigit() and len(hour) < 3 and (minute.isdigit() or not colon)):
        return None
    if int(hour) > 23 or (colon and (len(minute) != 2 or int(minute) > 59)):
        return None
    return int(hour), int(minute) if colon else -1, int(hour) > 12 or hour[0] == "0"


def clock_at(r: Reading, i: int) -> Piece | None:
    """The clock time at token i: "9pm", "6.20 p.m.", "18:20", "half past 9", "nine o'clock", "noon", "at 9"."""
    t = r.t
    word, previous = t.words[i], t.words[i - 1]
    if word in ("noon", "midday", "midnight"):
        return _told(r, Piece(i, i + 1, clocks=(0,) if word == "midnight" else (720,)))
    if word == "lunchtime" or (word == "lunch" and previous in ("at", "since")):
        return Piece(i, i + 1, window=PARTS["lunch"], part="lunch")
    shift, k = 0, i
    if word in ("half", "quarter"):
        if t.words[i + 1] not in ("past", "to") or (word == "half" and t.words[i + 1] == "to"):
            return None
        shift = {"half": 30, "quarter": 15}[word] * (-1 if t.words[i + 1] == "to" else 1)
        k = i + 2
    face = _face(t.words[k])
    if face is None or (t.glued(k) and t.words[k - 1][-1:].isalnum()):
        return None
    hour, minute, sure = face
    after = k + 1
    half, after = _half_of_day(r, after)
    if half and (hour > 12 or hour == 0) and minute < 0:
        return None
    oclock = t.words[after] in ("o'clock", "oclock")
    after += oclock
    bare = minute < 0 and not half and not oclock and not shift
    dotted = "." in t.words[k] and not half and not oclock
    if (bare or dotted) and not _told_as_clock(r, i, after, hour, dotted):
        return None
    minutes = hour % 24 * 60 + max(minute, 0) + shift
    if half:
        clocks: tuple[int, ...] = (
            (minutes - (720 if hour == 12 else 0)) % 1440 + (720 if half == "p" and hour <= 12 else 0),
        )
    elif sure:
        clocks = (minutes % 1440,)
    else:
        clocks = (minutes % 720, minutes % 720 + 720)
    part = t.words[after + 2] if t.words[after] == "in" and t.words[after + 1] == "the" else ""
    part = t.words[after + 1] if t.words[after] == "at" and t.words[after + 1] == "night" else part
    if part in PARTS and len(clocks) == 2:
        after += 3 if t.words[after] == "in" else 2
    else:
        part = ""
    return _told(r, Piece(i, after, clocks=clocks, part=part, bare=bare or dotted))


def _half_of_day(r: Reading, k: int) -> tuple[str, int]:
    """ "a" or "p" and the token behind "am", "p.m."; ("", k) where there is none. "9 am i right" is not the morning."""
    t = r.t
    word = t.words[k]
    if word in ("am", "pm") and (t.glued(k) or word == "pm" or t.words[k + 1] != "i"):
        return word[0], k + 1
    if word in ("a", "p") and t.words[k + 1] == "." and t.words[k + 2] == "m":
        return word, k + 3 + (t.words[k + 3] == ".")
    return "", k


def _told_as_clock(r: Reading, i: int, after: int, hour: int, dotted: bool) -> bool:
    """Whether a number with nothing of a clock about it may be one: "about 9", "at 9" and nothing counted after it."""
    t = r.t
    led = t.words[i - 1] in ABOUT or t.words[i - 1] in ("at", "@", "since")
    free = t.words[after] in _AFTER_CLOCK or (t.words[after] == "at" and t.words[after + 1] == "night")
    n = read_number(t, i)
    return led and free and 1 <= hour <= 12 and (dotted or (n is not None and n.after == after))


def _told(r: Reading, piece: Piece) -> Piece | None:
    """The piece with what stands around it: None when it tells the present or the future."""
    t, back, after = r.t, piece.first - 1, piece.after
    approx = False
    while t.words[back] in ABOUT or t.words[back] in ("at", "@", "on", "from"):
        approx |= t.words[back] in ABOUT
        back -= 1
    if t.words[back] in AHEAD or t.words[back] in TOLD_NOW or t.words[after] == "now":
        return None
    after += t.words[after] == "-"
    ish = t.words[after] == "ish" or (t.words[after] == "or" and t.words[after + 1] in ("so", "thereabouts"))
    return piece._replace(approx=approx or ish, after=after + 1 + (t.words[after] == "or") if ish else piece.after)


# ---- putting them together -------------------------------------------------------------------------------------------

ABOUT_CLOCK = 30  # minutes to either side of "about 9"
_LINKS = ABOUT | word_set("at on in the , @ - of")
_ENDED = word_set("came come out off finished ended")  # "made about 9" tells how many
_HANDLED = _ENDED | word_set(
    "took taken pulled lifted made done did canned jarred bottled sealed processed removed stopped started"
)


def read_days_and_clocks(r: Reading) -> None:
    """Adds the moments told by the calendar and the clock, a day and a clock time beside each other as one."""
    t, held = r.t, None
    i = 0
    while i < t.count:
        word = t.words[i]
        piece = day_at(r, i) if word in DAY_WORDS or (len(word) == 4 and word[:2] in ("19", "20")) else None
        if piece is None and (word in CLOCK_WORDS or word[0] in "0123456789"):
            piece = clock_at(r, i)
        if piece is None:
            i += 1
            continue
        i = max(i + 1, piece.after)
        if held and (joined := _joined(r, held, piece)):
            _settle(r, joined)
            held = None
        else:
            if held:
                _settle(r, held)
            held = piece
    if held:
        _settle(r, held)


def _joined(r: Reading, one: Piece, two: Piece) -> Piece | None:
    """A day and a clock time that belong together, whichever comes first."""
    day, clock = (one, two) if one.days else (two, one)
    between = r.t.words[one.after : two.first]
    if not day.days or clock.days or clock.span or (day.window and clock.window) or len(between) > 3:
        return None
    if not _LINKS.issuperset(between):
        return None
    window = clock.window or day.window
    return Piece(one.first, two.after, day.days, clock.clocks, window, day.part or clock.part, clock.approx)


def _by_part(clocks: tuple[int, ...], part: str) -> list[int]:
    """The readings of a clock time that fit the part of the day; small hours of a night are of the next date."""
    if part in ("night", "nite"):
        return [
            c + 1440 if c < NIGHT_OWL else c
            for c in clocks
            if len(clocks) == 1 or not NIGHT_OWL <= c % 1440 < NIGHT_OWL + 720
        ]
    if part and len(clocks) == 2:
        return [clocks[part != "morning"]]
    return list(clocks)


def _settle(r: Reading, p: Piece) -> None:
    """Adds the moment of a piece, the hull of its readings."""
    t = r.t
    before = p.first - 1
    while t.words[before] in ABOUT or t.words[before] in ("the", "last", "at", "early", "late"):
        before -= 1
    kind = "since" if "since" in (t.words[before], t.words[p.first]) else "clock" if p.clocks else "day-part"
    verbs = _ENDED if t.words[p.first - 1] in ABOUT and t.words[p.first - 2] != "at" else _HANDLED
    if p.bare and not p.days and not p.part and not t.near(p.first - 5, p.first, verbs | {"since"}):
        return
    past = [span for span in ([p.span] if p.span else _readings(r, p)) if span[0] <= r.now]
    if past:
        earliest, latest = min(span[0] for span in past), max(span[1] for span in past)
        r.add(kind, p.first, p.after, earliest, latest, earliest < latest)


def _readings(r: Reading, p: Piece) -> list[tuple[datetime, datetime]]:
    clocks = _by_part(p.clocks, p.part)
    spans = [(c, c) for c in clocks] or [p.window or (0, 1440)]
    reach = timedelta(minutes=ABOUT_CLOCK if p.approx and clocks else 0)
    found = []
    for lo, hi in spans:
        for back in p.days or (0, 1):
            day = r.today - timedelta(days=back)
            start = instant(day, lo, r.zone) - reach
            found.append((start, max(start, instant(day, hi, r.zone) + reach)))  # a zone may skip a whole date
            if not p.days and start <= r.now:
                break  # without a day: the last time the clock showed this
    return found


def find_moments(text: str, now: datetime) -> list[Moment]:
    """Every time spoken of in a lower-case, normalised message, in order of the text; never one later than `now`.

    `now` is when the message was sent, aware and in the person's zone. Raises ValueError when it is naive.
    """
    if now.tzinfo is None:
        raise ValueError("now must be aware")
    reading = Reading(text, now)
    read_days_and_clocks(reading)
    read_durations(reading)
    return sorted(reading.found, key=lambda m: m.start)
