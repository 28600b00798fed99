"""Plain factories with boring defaults; every name and number in them is invented.

Each takes the session, adds what it made and flushes, so that the id is there. `over` names columns
of the row itself.
"""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any, TypeVar

from sqlalchemy import func, select
from sqlalchemy.orm import Session
from werkzeug.security import generate_password_hash

from desk.models import (
    Account,
    Base,
    Contact,
    ContactPlayer,
    Court,
    DropOff,
    Event,
    EventDay,
    Frame,
    Job,
    JobCard,
    Machine,
    Match,
    MatchSide,
    Player,
    Price,
    Racquet,
    Reel,
    ReelEntry,
    Shift,
    Stringer,
    StringType,
)
from desk.services.acting import Acting
from desk.trade.contacts import LEAVES, USUAL
from desk.trade.event.event_time import EventClock
from desk.trade.racquet.bed import Bed, HalfUse

FIRST_DAY = date(2031, 5, 12)
ZONE = "Europe/Vienna"
Row = TypeVar("Row", bound=Base)


def moment(text: str, *, zone: str = ZONE, first_day: date = FIRST_DAY) -> datetime:
    """Return the UTC time of "Mon 14:05" or "2031-05-12 14:05" on the event's wall clock."""
    return EventClock(zone, first_day).parse_moment(text)


def acting(text: str = "Mon 12:00", *, by: str = "lead", zone: str = ZONE, first_day: date = FIRST_DAY) -> Acting:
    """Return the desk lead acting at that time."""
    return Acting(by=by, at=moment(text, zone=zone, first_day=first_day))


def _add(session: Session, row: Row) -> Row:
    session.add(row)
    session.flush()
    return row


def _count(session: Session, table: type[Base]) -> int:
    return 1 + (session.scalar(select(func.max(table.id))) or 0)


def make_event(
    session: Session, *, days: int = 3, first_day: date = FIRST_DAY, time_zone: str = ZONE, **over: Any
) -> Event:
    """Return an event whose desk is open from 08:00 to 22:00 on each of its days."""
    values = {"slug": f"event-{_count(session, Event)}", "name": "Testfield Open", "currency": "EUR"} | over
    event = _add(session, Event(time_zone=time_zone, **values))
    for ahead in range(days):
        make_day(session, event, first_day + timedelta(days=ahead))
    session.refresh(event)
    return event


def make_day(session: Session, event: Event, day: date, **over: Any) -> EventDay:
    clock = EventClock(event.time_zone, day)
    hours = {"opens_at": clock.parse("08:00", day), "closes_at": clock.parse("22:00", day)}
    return _add(session, EventDay(event_id=event.id, date=day, **(hours | over)))


def make_player(session: Session, event: Event, **over: Any) -> Player:
    number = _count(session, Player)
    name = over.get("name", f"Player {number}")
    values = {
        "code": f"P{number:03}",
        "name": name,
        "search_name": name.lower(),
        "token": f"token-{number}",
        "token_issued_at": datetime(2031, 5, 1, tzinfo=UTC),
    } | over
    return _add(session, Player(event_id=event.id, **values))


def make_contact(session: Session, event: Event, *players: Player, **over: Any) -> Contact:
    """Return a coach who stands for PLAYERS with what a coach usually may, and what OVER says of a `Leave`."""
    number = _count(session, Contact)
    leave = {name: over.pop(name) for name in LEAVES if name in over}
    values = {
        "code": f"C{number:02}",
        "name": over.get("name", f"Contact {number}"),
        "search_name": over.get("name", f"contact {number}").lower(),
        "kind": "coach",
        "token": f"contact-token-{event.id}-{number}",
        "token_issued_at": datetime(2031, 5, 1, tzinfo=UTC),
    } | over
    contact = _add(session, Contact(event_id=event.id, **values))
    may = asdict(USUAL[contact.kind]) | leave
    for player in players:
        _add(session, ContactPlayer(contact_id=contact.id, player_id=player.id, **may))
    return contact


def make_frame(session: Session, event: Event, **over: Any) -> Frame:
    values = {
        "code": f"F{_count(session, Frame)}",
        "name": "Frame A",
        "head_sq_in": 98.0,
        "mains": 16,
        "crosses": 19,
        "tension_low": Decimal("45"),
        "tension_high": Decimal("60"),
        "tension_unit": "lb",
    } | over
    return _add(session, Frame(event_id=event.id, **values))


def make_string(session: Session, event: Event, **over: Any) -> StringType:
    values = {
        "code": f"STR{_count(session, StringType)}",
        "name": "String A",
        "gauge_mm": 1.25,
        "material": "polyester",
    } | over
    return _add(session, StringType(event_id=event.id, **values))


def make_racquet(session: Session, player: Player, *, frame: Frame | None = None, **over: Any) -> Racquet:
    if frame is None:
        event = session.get_one(Event, player.event_id)
        frame = session.scalar(select(Frame).where(Frame.event_id == event.id)) or make_frame(session, event)
    taken = session.scalar(select(func.max(Racquet.number)).where(Racquet.player_id == player.id)) or 0
    return _add(session, Racquet(player_id=player.id, frame_id=frame.id, **({"number": taken + 1} | over)))


def make_machine(session: Session, event: Event, **over: Any) -> Machine:
    number = _count(session, Machine)
    values = {"code": f"M{number:02}", "name": f"Bench {number}", "kind": "constant_pull", "position": number} | over
    return _add(session, Machine(event_id=event.id, **values))


def make_stringer(
    session: Session, event: Event, *, hours: Sequence[tuple[str, str]] = (("08:00", "21:00"),), **over: Any
) -> Stringer:
    """Return a stringer who works HOURS (wall clock) on every day of the event."""
    number = _count(session, Stringer)
    values = {"code": f"S{number:02}", "name": f"Stringer {number}", "position": number} | over
    stringer = _add(session, Stringer(event_id=event.id, **values))
    for day in event.days:
        clock = EventClock(event.time_zone, day.date)
        for start, end in hours:
            span = {"from_at": clock.parse(start, day.date), "to_at": clock.parse(end, day.date)}
            session.add(Shift(stringer_id=stringer.id, **span))
    session.flush()
    return stringer


def make_drop_off(session: Session, player: Player, **over: Any) -> DropOff:
    values = {
        "at": moment("Mon 09:00"),
        "by": "desk",
        "request_key": f"request-{_count(session, DropOff)}",
        "frame_checked": True,
    } | over
    return _add(session, DropOff(event_id=player.event_id, player_id=player.id, **values))


def make_card(session: Session, job: Job, **over: Any) -> JobCard:
    event = session.get_one(Event, job.event_id)
    string = session.scalar(select(StringType).where(StringType.event_id == event.id)) or make_string(session, event)
    values = {
        "mains_string_id": string.id,
        "crosses_string_id": string.id,
        "mains_tension": Decimal("52"),
        "crosses_tension": Decimal("50"),
        "tension_unit": "lb",
    } | over
    return _add(session, JobCard(job_id=job.id, **values))


def make_job(
    session: Session,
    player: Player,
    *,
    racquet: Racquet | None = None,
    drop_off: DropOff | None = None,
    card: dict[str, Any] | None = None,
    **over: Any,
) -> Job:
    """Return a waiting job with its card, dropped off at 09:00 on the first day."""
    racquet = racquet or make_racquet(session, player)
    dropped_at = over.pop("dropped_at", moment("Mon 09:00"))
    drop_off = drop_off or make_drop_off(session, player, at=dropped_at)
    number = _count(session, Job)
    values = {"serial": number, "code": f"J{number:04}", "house_minutes": 22, "dropped_at": dropped_at} | over
    owners = {"event_id": player.event_id, "player_id": player.id, "racquet_id": racquet.id}
    job = _add(session, Job(drop_off_id=drop_off.id, **owners, **values))
    make_card(session, job, **(card or {}))
    session.refresh(job)
    return job


def make_court(session: Session, event: Event, **over: Any) -> Court:
    number = _count(session, Court)
    return _add(session, Court(event_id=event.id, **({"name": f"Court {number}", "position": number} | over)))


def make_match(
    session: Session,
    court: Court,
    *,
    day: EventDay,
    players: Sequence[Player | Match | None] = (None, None),
    start: str | None = None,
    **over: Any,
) -> Match:
    """Return a match of one player a side; a Match in PLAYERS stands for its winner.

    START is "at 11:00" or "not before 14:00"; without it the match follows the one before on its court.
    """
    number = _count(session, Match)
    last = session.scalar(select(func.max(Match.position)).where(Match.court_id == court.id, Match.day_id == day.id))
    kind, _, hhmm = (start or "followed by").rpartition(" ")
    event = session.get_one(Event, court.event_id)
    clock = EventClock(event.time_zone, day.date)
    values = {
        "code": f"X{number:03}",
        "position": (last or 0) + 1,
        "format": "best_of_3_men",
        "start_kind": kind.replace(" ", "_") if start else "followed_by",
        "start_at": clock.parse(hhmm, day.date) if start else None,
    } | over
    match = _add(session, Match(event_id=court.event_id, court_id=court.id, day_id=day.id, **values))
    for side, who in enumerate(players, start=1):
        player_id = who.id if isinstance(who, Player) else None
        winner_of_id = who.id if isinstance(who, Match) else None
        session.add(MatchSide(match_id=match.id, side=side, player_id=player_id, winner_of_id=winner_of_id))
    session.flush()
    session.refresh(match)
    return match


def cut(mains_m: float | None = None, crosses_m: float | None = None, *, reels: Sequence[int | None] = (None, None)):
    """Return what a bench says of the string it cut: metres measured and REELS of mains and crosses."""
    return Bed(HalfUse(reels[0], mains_m), HalfUse(reels[1], crosses_m))


def set_clock(event: Event, text: str, *, speed: float = 0.0) -> None:
    """Let the event's own clock show that time now, and run at SPEED (0: it stands)."""
    event.clock_real_at, event.clock_event_at, event.clock_speed = datetime.now(UTC), moment(text), speed


def make_account(session: Session, *, role: str = "lead", password: str = "three plain words", **over: Any) -> Account:
    """Return an account whose name is its role; the hash is a quick one."""
    hashed = generate_password_hash(password, method="pbkdf2:sha256:1")
    return _add(session, Account(**({"name": role, "role": role, "password_hash": hashed} | over)))


def make_reel(session: Session, string: StringType, *, metres: float = 200.0, **over: Any) -> Reel:
    """Return a reel of the desk with that many metres on it from the beginning."""
    reel = Reel(
        **({"event_id": string.event_id, "code": f"R{_count(session, Reel)}", "string_type_id": string.id} | over)
    )
    reel.entries.append(ReelEntry(at=moment("Mon 07:00"), by="desk", kind="opening", metres=metres))
    return _add(session, reel)


def make_price(session: Session, event: Event, kind: str, amount_minor: int, **over: Any) -> Price:
    return _add(session, Price(event_id=event.id, kind=kind, amount_minor=amount_minor, **over))
