"""What one player sees of the desk: their racquets, what was promised, the charges, the desk's hours."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from desk.models import Assignment, Charge, Event, EventDay, HandOver, Job, Player, Promise, Settlement
from desk.queries.counter.job_cards import CardView, card_views
from desk.queries.machines.readings_due import NOT_DUE, readings_due
from desk.queries.plan.spoken_bench import SpokenBenches, WithWhom
from desk.queries.promise.open_times import open_times
from desk.queries.row_making import grouped, row_of
from desk.queries.word.words import told_of

ORDER = ("strung", "on_machine", "waiting", "held", "handed_over", "cancelled")
IN_WORK = ("waiting", "on_machine")
HERE = (*IN_WORK, "held", "strung")


@dataclass(frozen=True, kw_only=True)
class Told:
    """A ready time as it was told, when, and why it was changed."""

    ready_at: datetime
    given_at: datetime
    reason: str


@dataclass(frozen=True, kw_only=True)
class OwnRacquet:
    """One racquet of the player.

    `time_at` is the hero of its line: when it is ready, was ready or was fetched. `about` says that
    it comes from the plan and was not promised. `late_since` is the promise that has passed, and
    `expected_at` what the plan says then. `is_open` says that nobody can say a time before the desk has decided
    something. `whom` is who strings it, where the event names them.
    `words` are by which ways the player was told of it, and when last.
    """

    card: CardView
    state: str
    time_at: datetime | None
    about: bool
    late_since: datetime | None
    expected_at: datetime | None
    promises: tuple[Told, ...]
    is_open: bool = False
    whom: WithWhom | None = None
    words: tuple[tuple[str, datetime], ...] = ()


@dataclass(frozen=True, kw_only=True)
class OwnCharge:
    """What one racquet (or, without a tag, something else) costs under one heading."""

    kind: str
    text: str
    code: str
    amount_minor: int


@dataclass(frozen=True, kw_only=True)
class OwnPage:
    """All that a player's page shows."""

    name: str
    racquets: tuple[OwnRacquet, ...]
    charges: tuple[OwnCharge, ...]
    paid: tuple[tuple[str, int], ...]
    days: tuple[tuple[datetime, datetime], ...]

    @property
    def charged_minor(self) -> int:
        return sum(line.amount_minor for line in self.charges)

    @property
    def open_minor(self) -> int:
        return self.charged_minor - sum(minor for _, minor in self.paid)

    def at_desk(self) -> tuple[OwnRacquet, ...]:
        return tuple(one for one in self.racquets if one.state in HERE)

    def gone(self) -> tuple[OwnRacquet, ...]:
        return tuple(one for one in self.racquets if one.state not in HERE)

    def to_fetch(self) -> dict[datetime, list[OwnRacquet]]:
        """Return the promised racquets by the time of their pickup; what goes to a court is not fetched."""
        found: dict[datetime, list[OwnRacquet]] = defaultdict(list)
        for one in self.racquets:
            if one.state in IN_WORK and one.promises and not one.is_open and not one.card.on_court:
                found[one.promises[-1].ready_at].append(one)
        return dict(sorted(found.items()))


def player_of_link(session: Session, token: str) -> tuple[int, int] | None:
    """Return (player, event) of a link that is alive."""
    found = select(Player.id, Player.event_id).where(Player.token == token, Player.erased_at.is_(None))
    row = session.execute(found).first()
    return None if row is None else (row.id, row.event_id)


def event_of_slug(session: Session, slug: str) -> int | None:
    return session.scalar(select(Event.id).where(Event.slug == slug))


def own_pages(
    session: Session,
    event_id: int,
    player_ids: Sequence[int],
    at: datetime,
    benches: SpokenBenches | None = None,
    undecided: Collection[int] | None = None,
) -> dict[int, OwnPage]:
    """Return the pages of these players at AT, with who strings where BENCHES tells; the number of statements is fixed.

    UNDECIDED are the racquets whose time is open, where somebody has read them already.
    """
    told, fetched = _promises(session, player_ids), _fetched(session, player_ids)
    places, words = _places(session, event_id, player_ids), told_of(session, player_ids)
    days = _days(session, event_id, at)
    is_later = any(start_at >= closes_at for start_at, *_ in places.values() for _, closes_at in days[:1])
    due = readings_due(session, session.get_one(Event, event_id), at) if is_later else NOT_DUE
    racquets: dict[int, list[OwnRacquet]] = defaultdict(list)
    if undecided is None:
        undecided = open_times(session, session.get_one(Event, event_id), at)
    for card in card_views(session, Job.player_id.in_(player_ids), Job.state != "redo"):
        start_at, end_at, stringer_id = places.get(card.job_id, (None, None, None))
        planned_at = None if due.hold_up(start_at, card.not_before_at) else end_at
        own = _own(card, told.get(card.job_id, ()), planned_at, fetched.get(card.hand_over_id or 0), at)
        is_open = card.job_id in undecided and (card.state == "on_machine" or bool(own.promises))
        if card.state in IN_WORK and is_open:
            own = replace(own, is_open=True, time_at=None, about=False, late_since=None, expected_at=None)
        elif benches is not None and card.state in IN_WORK:
            whom = benches.of(card.player_id, card.stringer_id or stringer_id, on_court=card.on_court)
            own = replace(own, whom=whom)
        racquets[card.player_id].append(replace(own, words=words.get(card.job_id, ())))
    charges, paid = _charges(session, player_ids), _paid(session, player_ids)
    names = dict(session.execute(select(Player.id, Player.called).where(Player.id.in_(player_ids))).all())
    return {
        player_id: OwnPage(
            name=names.get(player_id, ""),
            racquets=tuple(sorted(racquets[player_id], key=_rank)),
            charges=charges.get(player_id, ()),
            paid=paid.get(player_id, ()),
            days=days,
        )
        for player_id in player_ids
    }


def _rank(one: OwnRacquet) -> tuple:
    seconds = one.time_at.timestamp() if one.time_at else float("inf")
    return ORDER.index(one.state), -seconds if one.state == "handed_over" else seconds, one.card.racquet


def _own(
    card: CardView, told: tuple[Told, ...], planned_at: datetime | None, fetched_at: datetime | None, at: datetime
) -> OwnRacquet:
    promised_at = told[-1].ready_at if told else None
    planned_at = card.expected_end_at or planned_at
    in_work = card.state in IN_WORK
    is_late = in_work and promised_at is not None and promised_at < at
    times = {"strung": card.finished_at, "handed_over": fetched_at, "cancelled": None, "held": None}
    expected_at = planned_at if is_late and planned_at is not None and planned_at > at else None
    return OwnRacquet(
        card=card,
        state=card.state,
        time_at=times.get(card.state, expected_at or promised_at or planned_at),
        about=in_work and (is_late or promised_at is None),
        late_since=promised_at if is_late else None,
        expected_at=expected_at,
        promises=told,
    )


def _promises(session: Session, player_ids: Sequence[int]) -> dict[int, tuple[Told, ...]]:
    found = select(Promise).join(Job, Job.id == Promise.job_id).where(Job.player_id.in_(player_ids))
    told = grouped((row.job_id, row_of(Told, row)) for row in session.scalars(found.order_by(Promise.id)))
    return {job_id: tuple(rows) for job_id, rows in told.items()}


def _places(session: Session, event_id: int, player_ids: Sequence[int]) -> dict[int, tuple[datetime, datetime, int]]:
    """Return from when until when and by whom each racquet is to be strung, by job."""
    run = select(Event.current_run_id).where(Event.id == event_id).scalar_subquery()
    found = (
        select(Assignment.job_id, Assignment.start_at, Assignment.end_at, Assignment.stringer_id)
        .join(Job, Job.id == Assignment.job_id)
        .where(Assignment.run_id == run, Job.player_id.in_(player_ids))
    )
    return {job_id: tuple(place) for job_id, *place in session.execute(found)}


def _fetched(session: Session, player_ids: Sequence[int]) -> dict[int, datetime]:
    return dict(session.execute(select(HandOver.id, HandOver.at).where(HandOver.player_id.in_(player_ids))).all())


def _charges(session: Session, player_ids: Sequence[int]) -> dict[int, tuple[OwnCharge, ...]]:
    """Return what the players pay themselves, with corrections counted in; what came to nothing is left out."""
    found = (
        select(Charge, Job.code)
        .outerjoin(Job, Job.id == Charge.job_id)
        .where(Charge.player_id.in_(player_ids), Charge.payer_id.is_(None))
        .order_by(Charge.id)
    )
    lines: dict[int, dict[tuple, list]] = defaultdict(dict)
    for charge, code in session.execute(found):
        # What is on no racquet was named by the desk, each line in its own words.
        key = (code, charge.kind) if code else (charge.corrects_id or charge.id,)
        line = lines[charge.player_id].setdefault(key, [charge.kind, charge.text, code or "", 0])
        line[3] += charge.amount_minor
    return {
        player_id: tuple(
            OwnCharge(kind=kind, text=text, code=code, amount_minor=minor)
            for kind, text, code, minor in own.values()
            if minor
        )
        for player_id, own in lines.items()
    }


def _paid(session: Session, player_ids: Sequence[int]) -> dict[int, tuple[tuple[str, int], ...]]:
    way = case((Settlement.kind == "payment", Settlement.method), else_=Settlement.kind)
    found = (
        select(Settlement.player_id, way, func.sum(Settlement.amount_minor))
        .where(Settlement.player_id.in_(player_ids))
        .group_by(Settlement.player_id, way)
        .order_by(Settlement.player_id, way)
    )
    ways = grouped((player_id, (way, int(minor))) for player_id, way, minor in session.execute(found) if minor)
    return {player_id: tuple(one) for player_id, one in ways.items()}


def _days(session: Session, event_id: int, at: datetime) -> tuple[tuple[datetime, datetime], ...]:
    """Return (opens, closes) of the desk's day that is on or comes next, and of the one after."""
    found = (
        select(EventDay.opens_at, EventDay.closes_at)
        .where(EventDay.event_id == event_id, EventDay.closes_at > at)
        .order_by(EventDay.opens_at)
        .limit(2)
    )
    return tuple((row.opens_at, row.closes_at) for row in session.execute(found))
