"""The event's time: the one module that converts between clocks.

The database stores UTC, the solver counts whole minutes, screens show the event's own zone. A minute is
an elapsed minute since the event's first day began locally: a clock change in the night shifts what the
wall shows, never what has passed. Written times of day run to 29:59: 24:30 is half past midnight of the
same day's play.
"""

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from desk.trade.errors import TimeError

LAST_HOUR = 29
YEARS = range(2000, 2201)
_HHMM = re.compile(r"(\d{1,2})[:.h](\d{2})")
_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_MINUTE = timedelta(minutes=1)


def utc_now() -> datetime:
    """The real time, aware, in UTC."""
    return datetime.now(UTC)


def as_utc(moment: datetime) -> datetime:
    """An aware UTC moment from what the database gave back; a naive one is stored UTC."""
    return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)


def zone_names() -> list[str]:
    """Every IANA zone that is known here, sorted."""
    return sorted(available_timezones())


@dataclass(frozen=True)
class EventClock:
    """Whole minutes from the local start of the event's first day, and the wall clock of its zone.

    Parameters
    ----------
    zone : str
        IANA zone name, e.g. "Europe/Vienna".
    first_day : date
        Local date of minute 0.
    """

    zone: str
    first_day: date

    def __post_init__(self) -> None:
        try:
            ZoneInfo(self.zone)
        except (ZoneInfoNotFoundError, ValueError, OSError) as error:
            raise TimeError(f'"{self.zone}" is no time zone', "Event", 'Write it like "Europe/Vienna".') from error

    @cached_property
    def _tz(self) -> ZoneInfo:
        return ZoneInfo(self.zone)

    @cached_property
    def _origin(self) -> datetime:
        return self._first_moment(self.first_day)

    def to_minutes(self, moment: datetime) -> int:
        """Whole elapsed minutes, rounded down, at an aware `moment`; negative before the first day."""
        return (self._aware(moment) - self._origin) // _MINUTE

    def to_utc(self, minute: int) -> datetime:
        """The UTC moment at which `minute` begins."""
        return self._origin + minute * _MINUTE

    def local(self, moment: datetime) -> datetime:
        """An aware moment on the event's wall clock."""
        return self._aware(moment).astimezone(self._tz)

    def day_of(self, minute: int) -> date:
        """The local date of `minute`."""
        return self.local(self.to_utc(minute)).date()

    def day_start(self, day: date) -> int:
        """The minute at which `day` begins; the next day's is 1380, 1440 or 1500 later."""
        return self.to_minutes(self._first_moment(day))

    def hhmm(self, minute: int) -> str:
        """The wall clock at `minute`: "14:05"."""
        return f"{self.local(self.to_utc(minute)):%H:%M}"

    def weekday_hhmm(self, moment: datetime) -> str:
        """Weekday and wall clock at an aware moment: "Tue 14:05"."""
        return f"{self.local(moment):%a %H:%M}"

    def day_word(self, moment: datetime, now: datetime) -> str:
        """The day of an aware moment where it is not that of NOW, in as few letters as say it: "", "Tue", "12 May"."""
        day, today = self.local(moment).date(), self.local(now).date()
        if day == today:
            return ""
        return f"{day:%a}" if abs((day - today).days) < 7 else f"{day.day} {day:%b}"

    def spoken(self, moment: datetime, now: datetime) -> str:
        """An aware moment as people say it at NOW, with its day where that is another: "14:05", "Tue 14:05"."""
        return f"{self.day_word(moment, now)} {self.local(moment):%H:%M}".strip()

    def day_name(self, day: date) -> str:
        """Weekday and date: "Tue 2026-05-12"."""
        return f"{_WEEKDAYS[day.weekday()].title()} {day.isoformat()}"

    def parse(self, text: str, day: date) -> datetime:
        """Read "HH:MM" as a time of `day` and give UTC.

        From 24:00 it is the night after `day`. A time that the clock change skips is refused; of one that
        comes twice the earlier is taken (`note` says so).
        """
        naive = _wall_time(text, day)
        moment = naive.replace(tzinfo=self._tz).astimezone(UTC)
        if moment.astimezone(self._tz).replace(tzinfo=None) != naive:
            after = moment.astimezone(self._tz)
            raise TimeError(
                f"{naive:%H:%M} does not exist on {naive.date().isoformat()}: the clock goes forward then",
                "Time",
                f"Take {after:%H:%M} or later.",
            )
        return moment

    def note(self, text: str, day: date) -> str | None:
        """What to tell the person who typed a time that the clock change makes twice, else None."""
        first = self.parse(text, day)
        naive = self.local(first).replace(tzinfo=None)
        second = naive.replace(tzinfo=self._tz, fold=1).astimezone(UTC)
        if first == second:
            return None
        return f"{naive:%H:%M} comes twice that night; the earlier is meant."

    def parse_day(self, text: str, last_day: date | None = None) -> date:
        """Read a day: "2026-05-12", "Tue" or the event's day number "2" (day 1 is the first).

        A weekday is the first such day of the event; given `last_day`, one that comes twice is refused.
        """
        word = text.strip().lower().removeprefix("day").strip()
        if word.isdigit() and 0 < int(word) <= 366:
            return self.first_day + timedelta(days=int(word) - 1)
        if word[:3] in _WEEKDAYS and word.isalpha():
            return self._weekday(word, last_day)
        try:
            return date.fromisoformat(word)
        except ValueError as error:
            raise TimeError(
                f'"{text.strip()}" is no day', "Day", 'Write it like "2026-05-12", "Tue" or "2".'
            ) from error

    def parse_moment(self, text: str, last_day: date | None = None) -> datetime:
        """Read "DAY HH:MM", e.g. "Tue 14:05" or "2026-05-12 14:05", and give UTC."""
        day, _, time = text.strip().rpartition(" ")
        if not day:
            raise TimeError(f'"{text.strip()}" is no day and time', "Time", 'Write it like "Tue 14:05".')
        return self.parse(time, self.parse_day(day, last_day))

    def _weekday(self, word: str, last_day: date | None) -> date:
        ahead = (_WEEKDAYS.index(word[:3]) - self.first_day.weekday()) % 7
        day = self.first_day + timedelta(days=ahead)
        if last_day is not None and day + timedelta(days=7) <= last_day:
            raise TimeError(
                f'"{word.title()}" comes twice in this event',
                "Day",
                f'Write the date, e.g. "{day.isoformat()}".',
            )
        return day

    def _first_moment(self, day: date) -> datetime:
        """UTC of the first instant of a local day: 00:00, or the end of a gap where clocks skip midnight."""
        midnight = datetime(day.year, day.month, day.day, tzinfo=self._tz).astimezone(UTC)
        if midnight.astimezone(self._tz).date() == day:
            return midnight
        return datetime(day.year, day.month, day.day, tzinfo=self._tz, fold=1).astimezone(UTC)

    def _aware(self, moment: datetime) -> datetime:
        if moment.tzinfo is None:
            raise TimeError("The moment has no zone", "Time", "Pass an aware datetime; see as_utc.")
        return moment.astimezone(UTC)


def span(minutes: int) -> str:
    """Return a number of minutes as it is said: "25 min", "2 h", "2 h 05"."""
    hours, rest = divmod(abs(minutes), 60)
    if hours >= 48:
        return f"{hours // 24} days"
    return f"{rest} min" if not hours else f"{hours} h {rest:02}" if rest else f"{hours} h"


def _wall_time(text: str, day: date) -> datetime:
    match = _HHMM.fullmatch(text.strip().lower())
    hour, minute = (int(part) for part in match.groups()) if match else (99, 99)
    if hour > LAST_HOUR or minute > 59:
        raise TimeError(f'"{text.strip()}" is no time', "Time", 'Write it like "14:05"; half past midnight is "24:30".')
    return datetime(day.year, day.month, day.day) + timedelta(hours=hour, minutes=minute)
