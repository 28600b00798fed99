"""The order of play as the arithmetic sees it: matches, stops and settings, independent of the database.

All times are whole minutes from the event's first midnight and may pass any number of midnights; `day` is the
day of play, which a night session keeps after midnight.
"""

from dataclasses import dataclass
from typing import Literal

from desk.trade.bench.minute_grid import MinuteGrid
from desk.trade.errors import PlayError
from desk.trade.play.match_figures import BETWEEN_LEAST_MIN, BETWEEN_MEDIAN_MIN
from desk.trade.play.match_length import changeover

StartKind = Literal["at", "not_before", "followed_by"]
State = Literal["scheduled", "in_play", "suspended", "finished", "retired", "walkover", "cancelled"]

ENDED: frozenset[str] = frozenset({"finished", "retired"})
NOT_PLAYED: frozenset[str] = frozenset({"walkover", "cancelled"})


@dataclass(frozen=True, kw_only=True)
class PlayMatch:
    """One match of the order of play.

    Parameters
    ----------
    key, court, position, day
        Its name, its court, its place in the court's order on its day of play.
    format
        A name of `match_length.FORMATS`.
    start_kind, start_at_min
        *at* and *not before* need the time; *followed by* does not.
    started_min, ended_min
        When play began and ended; needed by the states that imply them.
    suspended_min, paused_min
        When a suspended match stopped; minutes of earlier interruptions, which are no play.
    sets_done
        Finished sets of a match still on, where the desk knows.
    players, feeders
        Who plays; the matches whose winners play, for places not yet known.
    """

    key: str
    court: str
    position: int
    format: str
    day: int = 0
    start_kind: StartKind = "followed_by"
    start_at_min: int | None = None
    state: State = "scheduled"
    started_min: int | None = None
    ended_min: int | None = None
    suspended_min: int | None = None
    paused_min: int = 0
    sets_done: int | None = None
    players: tuple[str, ...] = ()
    feeders: tuple[str, ...] = ()

    @property
    def to_come(self) -> bool:
        """Whether its start, or its resumption, lies ahead."""
        return self.state in {"scheduled", "suspended"}

    @property
    def begun(self) -> bool:
        """Whether its start is known and needs no reckoning: over, or in play."""
        return self.state in ENDED or self.state == "in_play"

    @property
    def known_from_min(self) -> int | None:
        """The earliest minute at which it can start, or go on, by its own card; the start itself once begun."""
        if self.begun:
            return self.ended_min if self.started_min is None else self.started_min
        times = (self.start_at_min, self.suspended_min if self.state == "suspended" else None)
        return max((at for at in times if at is not None), default=None)


@dataclass(frozen=True)
class PlayStop:
    """Play stopped on some courts (None: on all) from `from_min`; until None, nobody knows when it resumes."""

    from_min: int
    until_min: int | None = None
    courts: frozenset[str] | None = None

    def holds(self, court: str, now: int) -> bool:
        """Whether `court` stands still at `now`."""
        on = self.courts is None or court in self.courts
        return on and self.from_min <= now and (self.until_min is None or now < self.until_min)


@dataclass(frozen=True, kw_only=True)
class PlaySettings:
    """What the event may set about its play.

    The minutes between two matches on a court are lognormal, with `between_least_min` their 5 % point and
    `between_median_min` their median (published: 15 and 23); equal values mean exactly that many.
    `rest_min` is a player's rest between two matches (common practice). `restart_notice_min` is the soonest
    that stopped play resumes while nobody has said when. `scale` is the event's factor on match lengths.
    """

    between_least_min: int = BETWEEN_LEAST_MIN
    between_median_min: int = BETWEEN_MEDIAN_MIN
    rest_min: int = 60
    restart_notice_min: int = 15
    scale: float = 1.0
    stops: tuple[PlayStop, ...] = ()

    def __post_init__(self) -> None:
        if not 0 <= self.between_least_min <= self.between_median_min:
            raise PlayError(
                f"{self.between_least_min} minutes at the least and {self.between_median_min} in the median",
                "Between two matches",
                "Give a median that is not below the least.",
            )
        if self.rest_min < 0 or not 0.5 <= self.scale <= 2:
            raise PlayError("A rest below 0 or a scale outside 0.5 to 2", "Settings", "Correct the setting.")

    @property
    def changeover(self) -> MinuteGrid:
        """Minutes between two matches on a court."""
        return changeover(self.between_least_min, self.between_median_min)

    def stopped_from(self, court: str, now: int) -> int | None:
        """Since when `court` stands still at `now`; None while it does not."""
        return min((stop.from_min for stop in self.stops if stop.holds(court, now)), default=None)

    def resumes(self, court: str, now: int) -> int:
        """The soonest minute at which play on `court` goes on: `now`, unless it stands still."""
        ends = [stop.until_min for stop in self.stops if stop.holds(court, now)]
        return max((now + self.restart_notice_min if end is None else end for end in ends), default=now)
