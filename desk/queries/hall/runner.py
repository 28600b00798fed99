"""What a runner carries: racquets from a match in play, for which court, and when play next rests."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, HandOver, Job, Match, MatchChange, MatchSide, Player
from desk.queries.counter.job_cards import CardView, card_views
from desk.queries.plan.planned_place import planned_ends
from desk.queries.play.play_records import IN_PLAY
from desk.queries.promise.open_times import open_times
from desk.trade.play.changeovers import next_changeover

ORDER = ("strung", "on_machine", "waiting")


@dataclass(frozen=True, kw_only=True)
class Run:
    """One racquet to carry.

    `ready_at` is when it was strung or will be; `changeover_at` an estimate, None where the match is
    not known or stands still (`is_suspended`). `open_why` says why nobody can say a time.
    """

    card: CardView
    court: str
    ready_at: datetime | None
    changeover_at: datetime | None
    is_suspended: bool
    open_why: str = ""


@dataclass(frozen=True, kw_only=True)
class Carried:
    """A racquet that was handed over at a court, which can be taken back."""

    hand_over_id: int
    at: datetime
    code: str
    player: str
    collected_by: str


def runs(session: Session, event: Event, at: datetime) -> list[Run]:
    """Return the racquets to carry: strung ones first, then by time; the number of statements is fixed."""
    cards = card_views(session, Job.event_id == event.id, Job.on_court, Job.state.in_(ORDER))
    ends, matches = planned_ends(session, event), _matches(session, event)
    paused, undecided = _paused(session, event), open_times(session, event, at)
    found = [_run(card, ends.get(card.job_id), matches.get(card.player_id), paused, at) for card in cards]
    found = [_open(run, undecided[run.card.job_id]) if run.card.job_id in undecided else run for run in found]
    return sorted(found, key=lambda run: (ORDER.index(run.card.state), run.ready_at is None, run.ready_at or at))


def _open(run: Run, why: str) -> Run:
    return replace(run, ready_at=None, changeover_at=None, open_why=why)


def _run(
    card: CardView, planned_at: datetime | None, match: Match | None, paused: dict[int, timedelta], at: datetime
) -> Run:
    ready_at = card.finished_at if card.state == "strung" else card.expected_end_at or planned_at or card.promised_at
    in_play = match is not None and match.state == "on_court" and match.started_at is not None
    # What is not strung yet goes out at a changeover after it is.
    earliest = max(at, ready_at or at)
    return Run(
        card=card,
        court=match.court.name if match else card.court,
        ready_at=ready_at,
        changeover_at=next_changeover(match.started_at, paused[match.id], earliest) if in_play else None,
        is_suspended=match is not None and match.state == "suspended",
    )


def _matches(session: Session, event: Event) -> dict[int, Match]:
    found = (
        select(MatchSide.player_id, Match)
        .join(Match, Match.id == MatchSide.match_id)
        .where(Match.event_id == event.id, Match.state.in_(IN_PLAY), MatchSide.player_id.is_not(None))
    )
    return dict(session.execute(found).all())


def _paused(session: Session, event: Event) -> dict[int, timedelta]:
    """Return how long each match in play stood still."""
    rows = (
        select(MatchChange)
        .join(Match, Match.id == MatchChange.match_id)
        .where(Match.event_id == event.id, Match.state == "on_court", MatchChange.from_court_id.is_(None))
        .order_by(MatchChange.id)
    )
    since: dict[int, datetime] = {}
    total: dict[int, timedelta] = defaultdict(timedelta)
    for change in session.scalars(rows):
        if change.to_state == "suspended":
            since[change.match_id] = change.at
        elif change.match_id in since:
            total[change.match_id] += change.at - since.pop(change.match_id)
    return total


def carried(session: Session, event: Event, *, limit: int = 6) -> list[Carried]:
    """Return the newest hand-overs of racquets from a court."""
    found = (
        select(HandOver.id.label("hand_over_id"), HandOver.at, Job.code, Player.called.label("player"))
        .add_columns(HandOver.collected_by)
        .join(Job, Job.hand_over_id == HandOver.id)
        .join(Player, Player.id == HandOver.player_id)
        .where(HandOver.event_id == event.id, HandOver.undone_at.is_(None), Job.on_court)
        .order_by(HandOver.id.desc())
        .limit(limit)
    )
    return [Carried(**row._mapping) for row in session.execute(found)]
