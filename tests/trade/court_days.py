"""Court days made of real matches, and how often play started before the points computed for it.

The tables give event, round and length, but neither court nor minute of the start. So a round is taken for a
day of play, its matches are dealt to courts in a seeded shuffle, each court starts at 11:00, and every further
match is followed by. Between two matches lie 15 minutes, as in the published table of starts, here and in the
forecast: what is measured is the lengths alone. The event's factor is learned as the desk learns it, from what
was completed or still on at the last full hour.
"""

import random
from collections import defaultdict
from dataclasses import dataclass, field, replace
from itertools import groupby

from desk.trade.play.match_scale import learned_scale
from desk.trade.play.play import PlayMatch, PlaySettings
from desk.trade.play.start_of_play import forecast

FIRST_AT, BETWEEN_MIN = 660, 15
STILL_ON_MIN = (30, 70, 110, 150)
ON_COURT = 4


@dataclass
class Tally:
    """Of `n` followed matches, how many started before their 5 % and their 50 % point."""

    n: int = 0
    early: int = 0
    half: int = 0

    def add(self, start, at):
        self.n += 1
        self.early += at < start.point(0.05)
        self.half += at < start.point(0.50)

    @property
    def shares(self):
        return (self.early / self.n, self.half / self.n) if self.n else (0.0, 0.0)

    @property
    def holds(self):
        """The bounds asked for: 2 to 9 % and 35 to 65 %."""
        early, half = self.shares
        return 0.02 <= early <= 0.09 and 0.35 <= half <= 0.65


@dataclass
class Measured:
    """A tally for each (kind of knowledge, grouping, group)."""

    tallies: dict = field(default_factory=lambda: defaultdict(Tally))

    def add(self, known, match, start, at):
        groups = {"all": "", "format": match.format, "surface": f"{match.format} {match.surface}",
                  "year": f"{match.format} {match.year}", "level": f"{match.format} {match.level}"}  # fmt: skip
        for grouping, group in groups.items():
            self.tallies[known, grouping, group].add(start, at)


@dataclass(frozen=True)
class CourtDay:
    """One day of an event: courts of matches with their starts, and the lengths of the days before."""

    courts: tuple
    seen: tuple

    def settings(self, minute, usual, learn=True):
        """What the desk knows at MINUTE of the event's pace, having begun with USUAL."""
        if not learn:
            return _settings(usual)
        played = [pair for court in self.courts for pair in court if pair[0].fate == "completed"]
        done = [(m.format, m.minutes) for m, start in played if start + m.minutes <= minute]
        on = [(m.format, minute - start) for m, start in played if start < minute < start + m.minutes]
        return _settings(learned_scale([*self.seen, *done], on, usual).factor)


def _settings(scale):
    return PlaySettings(between_least_min=BETWEEN_MIN, between_median_min=BETWEEN_MIN, scale=scale)


def court_days(matches, seed=1):
    """A court day for each round of each event."""
    draw = random.Random(seed)
    by_event = defaultdict(list)
    for match in matches:
        by_event[match.event].append(match)
    for event in by_event.values():
        seen = []
        event.sort(key=lambda match: match.round)
        for _, same_round in groupby(event, key=lambda match: match.round):
            day = list(same_round)
            draw.shuffle(day)
            courts = [day[first : first + ON_COURT] for first in range(0, len(day), ON_COURT)]
            yield CourtDay(tuple(_started(court) for court in courts), tuple(seen))
            seen += [(match.format, match.minutes) for match in day if match.fate == "completed"]


def measure(days, usual=1.0, learn=True):
    """Play the court days and tally each start against what was computed for it before.

    USUAL is the factor on lengths set for the event; without LEARN its matches teach nothing.
    """
    measured = Measured()
    for day in days:
        settings = {}

        def at_minute(minute, day=day, settings=settings):
            hour = minute // 60 * 60
            if hour not in settings:
                settings[hour] = day.settings(hour, usual, learn)
            return settings[hour]

        for court in day.courts:
            if len(court) > 1:
                _play(court, at_minute, measured)
    return measured


def _play(court, settings, measured):
    order = [
        PlayMatch(key=str(k), court="1", position=k, format=match.format,
                  start_kind="followed_by" if k else "at", start_at_min=None if k else FIRST_AT)
        for k, (match, _) in enumerate(court)
    ]  # fmt: skip
    morning = forecast(order, FIRST_AT, settings(FIRST_AT))
    for k in range(1, len(court)):
        (before, begun), (_, at), key = court[k - 1], court[k], str(k)
        measured.add("morning", before, morning[key], at)
        if before.fate == "walkover":
            order[k - 1] = replace(order[k - 1], state="walkover", start_kind="followed_by", start_at_min=None)
            continue
        on = replace(order[k - 1], state="in_play", started_min=begun)
        measured.add("match before begun", before, _next(order, on, begun, key, settings), at)
        for minute in STILL_ON_MIN:
            if before.minutes > minute:
                _still_on(order, on, before, minute, key, settings, measured, at)
        order[k - 1] = replace(on, state="finished", ended_min=begun + before.minutes)


def _still_on(order, on, before, minute, key, settings, measured, at):
    now = on.started_min + minute
    measured.add(f"still on after {minute} min", before, _next(order, on, now, key, settings), at)
    if before.set_ends:
        over = sum(end <= minute for end in before.set_ends)
        start = _next(order, replace(on, sets_done=over), now, key, settings)
        measured.add(f"{minute} min, sets known", before, start, at)
        measured.add(f"{minute} min, {over} sets over", before, start, at)


def _next(order, on, now, key, settings):
    k = int(key)
    return forecast([*order[: k - 1], on, order[k]], now, settings(now))[key]


def _started(court):
    at, started = FIRST_AT, []
    for match in court:
        started.append((match, at))
        at += match.minutes + BETWEEN_MIN if match.fate != "walkover" else 0
    return tuple(started)
