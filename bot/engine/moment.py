"""What is read of a time in a message, and the reading itself."""

from datetime import UTC, date, datetime, timedelta
from typing import NamedTuple

from bot.engine.numbers import Tokens, word_set
from bot.engine.told_times import instant


class Moment(NamedTuple):
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
