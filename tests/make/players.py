"""Players, whom they bring, and their racquets."""

from dataclasses import asdict
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Contact, ContactPlayer, Event, Frame, Player, Racquet
from desk.trade.contacts import LEAVES, USUAL
from tests.make.adding import add, next_number


def make_player(session: Session, event: Event, **over: Any) -> Player:
    number = next_number(session, Player)
    name = over.get("name", f"Player {number}")
    values = {
        "code": f"P{number:03}",
        "name": name,
        "search_name": name.lower(),
        "token": f"token-{number}",
        "token_issued_at": datetime(2031, 5, 1, tzinfo=UTC),
    } | over
    return add(session, Player(event_id=event.id, **values))


def make_contact(session: Session, event: Event, *players: Player, **over: Any) -> Contact:
    """Return a coach who stands for PLAYERS with what a coach usually may, and what OVER says of a `Leave`."""
    number = next_number(session, Contact)
    leave = {name: over.pop(name) for name in LEAVES if name in over}
    values = {
        "code": f"C{number:02}",
        "name": over.get("name", f"Contact {number}"),
        "search_name": over.get("name", f"contact {number}").lower(),
        "kind": "coach",
        "token": f"contact-token-{event.id}-{number}",
        "token_issued_at": datetime(2031, 5, 1, tzinfo=UTC),
    } | over
    contact = add(session, Contact(event_id=event.id, **values))
    may = asdict(USUAL[contact.kind]) | leave
    for player in players:
        add(session, ContactPlayer(contact_id=contact.id, player_id=player.id, **may))
    return contact


def make_frame(session: Session, event: Event, **over: Any) -> Frame:
    values = {
        "code": f"F{next_number(session, Frame)}",
        "name": "Frame A",
        "head_sq_in": 98.0,
        "mains": 16,
        "crosses": 19,
        "tension_low": Decimal("45"),
        "tension_high": Decimal("60"),
        "tension_unit": "lb",
    } | over
    return add(session, Frame(event_id=event.id, **values))


def make_racquet(session: Session, player: Player, *, frame: Frame | None = None, **over: Any) -> Racquet:
    if frame is None:
        event = session.get_one(Event, player.event_id)
        frame = session.scalar(select(Frame).where(Frame.event_id == event.id)) or make_frame(session, event)
    taken = session.scalar(select(func.max(Racquet.number)).where(Racquet.player_id == player.id)) or 0
    return add(session, Racquet(player_id=player.id, frame_id=frame.id, **({"number": taken + 1} | over)))
