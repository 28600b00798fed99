"""When each match starts: the distribution of its start, minute by minute.

A match starts when its court is free (the match before it over, and the changeover), its players have rested,
the winners it waits for are known, and its *at* or *not before* time has come. Lengths and changeovers add by
convolution; of several independent causes the latest counts. A cause on the same court is followed along that
court. Causes that hang together by another way (across courts) are taken as independent.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache

from desk.trade.bench.minute_grid import MinuteGrid
from desk.trade.errors import PlayError
from desk.trade.play.match_figures import match_format
from desk.trade.play.match_length import lasting, length, length_given
from desk.trade.play.play import ENDED, NOT_PLAYED, PlayMatch, PlaySettings
from desk.trade.play.play_order import PlayOrder, order_play

POINTS = (0.01, 0.05, 0.10, 0.50, 0.90)
_LIGHT = 1e-3
_STEP_MIN = 5
_DAY_MIN = 24 * 60
_NOTHING = MinuteGrid.at(0)


@dataclass(frozen=True)
class StartDistribution:
    """The start (of a suspended match: the resumption) of one match, and how long it lasts from there."""

    match: PlayMatch
    start: MinuteGrid
    lasting: MinuteGrid

    @cached_property
    def end(self) -> MinuteGrid:
        """The minute at which the match is over; its start when it is a walkover."""
        return self.start.plus(self.lasting)

    def point(self, chance: float) -> int:
        """The latest minute before which play starts with a probability of at most `chance`."""
        return self.start.point(chance)

    def points(self) -> tuple[int, ...]:
        """The 1, 5, 10, 50 and 90 % points."""
        return tuple(self.point(chance) for chance in POINTS)

    def chance_before(self, minute: int) -> float:
        """Probability that play starts before `minute`."""
        return self.start.chance_before(minute)


def forecast(
    matches: Sequence[PlayMatch], now: int, settings: PlaySettings | None = None
) -> dict[str, StartDistribution]:
    """The start of every match, given all that is known at minute `now`.

    Raises
    ------
    PlayError
        A cycle of "winner of", an unknown match or format, a state without its times, a court with two
        matches in play, or a day of play without any time.
    """
    settings = settings or PlaySettings()
    order = order_play(matches, settings)
    board = _Board(order, now, settings, _days_to_come(order, now, settings))
    for match in order.matches:
        board.place(match)
    return {match.key: board.placed[match.key] for match in matches}


Starts = Mapping[str, StartDistribution]


def _days_to_come(order: PlayOrder, now: int, settings: PlaySettings) -> dict[int, Starts]:
    """The starts on days of which nothing has begun: the present bears on none of them, nor does what has ended."""
    days: dict[int, list[PlayMatch]] = defaultdict(list)
    for match in order.matches:
        days[match.day].append(match)
    dry = replace(settings, stops=())
    return {
        day: _day_to_come(tuple(matches), dry)
        for day, matches in days.items()
        if now <= day * _DAY_MIN <= order.opening.get(day, -1)
        and all(match.state == "scheduled" for match in matches)
        and not any(settings.stopped_from(match.court, now) is not None for match in matches)
    }


@lru_cache(maxsize=32)
def _day_to_come(matches: tuple[PlayMatch, ...], settings: PlaySettings) -> Starts:
    """The starts of a day's matches as far as they wait for one another only."""
    keys = {match.key for match in matches}
    alone = [replace(match, feeders=tuple(key for key in match.feeders if key in keys)) for match in matches]
    board = _Board(order_play(alone, settings), matches[0].day * _DAY_MIN, settings)
    for match in board.order.matches:
        board.place(match)
    return {match.key: replace(board.placed[match.key], match=match) for match in matches}


@lru_cache(maxsize=256)
def _step(name: str, settings: PlaySettings, least: int) -> MinuteGrid:
    """Minutes from a start to the next on that court, at least `least` of them after the end."""
    between = settings.changeover.no_earlier(least)
    played = length(name, settings.scale).plus(between)
    return played.mixed(_NOTHING, match_format(name).walkover)


@lru_cache(maxsize=256)
def _rested(name: str, settings: PlaySettings) -> MinuteGrid:
    """Minutes from a start to when its players may start again; a walkover costs no rest."""
    played = length(name, settings.scale).shifted(settings.rest_min)
    return played.mixed(_NOTHING, match_format(name).walkover)


@dataclass
class _Board:
    """The matches placed so far."""

    order: PlayOrder
    now: int
    settings: PlaySettings
    to_come: dict[int, Starts] = field(default_factory=dict)
    placed: dict[str, StartDistribution] = field(default_factory=dict)
    ready: dict[str, MinuteGrid] = field(default_factory=dict)

    def place(self, match: PlayMatch) -> None:
        """Find the start of `match`, whose causes are all placed."""
        if match.day in self.to_come:
            if self._waits_for_its_day_only(match):
                self.placed[match.key] = self.to_come[match.day][match.key]
                return
            del self.to_come[match.day]
        if match.state in ENDED:
            ended = match.ended_min or 0
            began = min(ended, ended if match.started_min is None else match.started_min)
            start, lasts = MinuteGrid.at(began), MinuteGrid.at(ended - began)
        elif match.state == "in_play":
            began = match.started_min or 0
            start, lasts = MinuteGrid.at(began), self._in_play(match).shifted(-began)
        else:
            start, lasts = self._start(match), self._lasts(match)
        self.placed[match.key] = StartDistribution(match, start, lasts)

    def _waits_for_its_day_only(self, match: PlayMatch) -> bool:
        """Whether what it waits for on other days is over, players rested, before its own day opens."""
        others = [cause for cause in self.order.waits_for[match.key] if self.order.by_key[cause].day != match.day]
        rested = self.order.opening[match.day] - self.settings.rest_min
        ends = (self.placed[cause] for cause in others)
        return all(one.start.last + one.lasting.last <= rested or one.end.last <= rested for one in ends)

    def _in_play(self, match: PlayMatch) -> MinuteGrid:
        """The end of a match that is on."""
        stopped = self.settings.stopped_from(match.court, self.now)
        until = self.now if stopped is None else min(self.now, stopped)
        return self._left(match, until).shifted(self.settings.resumes(match.court, self.now))

    def _lasts(self, match: PlayMatch) -> MinuteGrid:
        if match.state in NOT_PLAYED:
            return _NOTHING
        if match.state == "suspended":
            return self._left(match, match.suspended_min or 0)
        return lasting(match.format, self.settings.scale)

    def _left(self, match: PlayMatch, until: int) -> MinuteGrid:
        """Minutes of a match in play that are still to come at `until`."""
        played = max(0, until - (match.started_min or 0) - match.paused_min)
        whole = length_given(match.format, played, match.sets_done, self.settings.scale)
        return whole.shifted(-played)

    def _start(self, match: PlayMatch) -> MinuteGrid:
        waits = self.order.waits_for[match.key]
        same_court = [
            (cause, between) for cause in waits if (between := self.order.between(cause, match.key)) is not None
        ]
        if not same_court:
            return self._held(match, self._court_free(match))
        cause, between = min(same_court, key=lambda pair: len(pair[1]))
        return self._held(match, self._free_and_rested(match, self.placed[cause], between))

    def _court_free(self, match: PlayMatch) -> MinuteGrid:
        before = self.order.before[match.key]
        if before is not None:
            return self._after(self.placed[before].match, self.placed[before].start)
        known = match.known_from_min
        opening = self.order.opening.get(match.day) if known is None else known
        if opening is None:
            raise PlayError(
                "Nothing on its day has a time", f"Match {match.key}", "Give the first match an at or not before."
            )
        return MinuteGrid.at(opening)

    def _after(self, match: PlayMatch, start: MinuteGrid, least: int = 0) -> MinuteGrid:
        """When the court is free after `match` starts at `start`, at least `least` minutes after its end."""
        if match.state == "scheduled":
            return start.plus(_step(match.format, self.settings, least))
        if match.state in NOT_PLAYED:
            return start
        return start.plus(self.placed[match.key].lasting).plus(self.settings.changeover.no_earlier(least))

    def _free_and_rested(self, match: PlayMatch, cause: StartDistribution, between: Sequence[PlayMatch]) -> MinuteGrid:
        """When the court is free for `match`, and the players rested from `cause` earlier on that court."""
        rest = self.settings.rest_min
        if all(other.state in NOT_PLAYED for other in between):
            return self._after(cause.match, cause.start, rest)
        soonest = changing = self.settings.changeover
        for other in between:
            soonest = self._after(other, soonest)
        if soonest.chance_before(rest) < _LIGHT:
            return self._court_free(match)
        absent = match_format(cause.match.format).walkover if cause.match.state == "scheduled" else 0.0
        ends = cause.start.plus(length(cause.match.format, self.settings.scale)) if absent else cause.end
        total, seen = self._along(between, cause.start), absent
        for minute, weight in ends.steps(_STEP_MIN):
            seen += (1 - absent) * weight
            free = self._along(between, changing.shifted(minute)).no_earlier(minute + rest)
            total = total.mixed(free, (1 - absent) * weight / seen)
        return total.trimmed()

    def _along(self, matches: Sequence[PlayMatch], free: MinuteGrid) -> MinuteGrid:
        """When the court is free after `matches`, the first of which may start when it is `free`."""
        for match in matches:
            free = self._after(match, self._held(match, free))
        return free

    def _held(self, match: PlayMatch, free: MinuteGrid) -> MinuteGrid:
        """`free`, put off by the match's own time, its players' other matches, a stop of play, and the present."""
        for cause in self.order.waits_for[match.key]:
            if self.order.between(cause, match.key) is None:
                free = free.later_of(self._ready_after(cause))
        if match.start_at_min is not None and match.start_kind != "followed_by":
            free = free.no_earlier(match.start_at_min)
        if match.state in NOT_PLAYED:
            return free
        if self.settings.stopped_from(match.court, self.now) is not None:
            return free.no_earlier(self.settings.resumes(match.court, self.now))
        return free.given_at_least(self.now)

    def _ready_after(self, key: str) -> MinuteGrid:
        """When the players of a match that is placed may start again."""
        if key in self.ready:
            return self.ready[key]
        cause = self.placed[key]
        found = cause.start if cause.match.state in NOT_PLAYED else cause.end.shifted(self.settings.rest_min)
        if cause.match.state == "scheduled":
            found = cause.start.plus(_rested(cause.match.format, self.settings))
        return self.ready.setdefault(key, found)
