"""Players and frames by name, to choose from or to recognise what was typed."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from desk.models import Frame, Player
from desk.trade.event.names import search_name


def player_names(session: Session, event_id: int) -> Sequence[str]:
    """Return what the event's players are called, by name."""
    found = select(Player.called).where(Player.event_id == event_id, Player.erased_at.is_(None))
    return session.scalars(found.order_by(Player.called)).all()


def players_named(session: Session, event_id: int, text: str) -> Sequence[int]:
    """Return the ids of the players who bear this name, however it was typed; with its code it is one."""
    found = select(Player.id).where(Player.event_id == event_id, Player.erased_at.is_(None))
    asked = or_(Player.search_name == search_name(text), func.lower(Player.called) == text.strip().lower())
    return session.scalars(found.where(asked)).all()


def written_apart(session: Session, player_ids: Sequence[int]) -> str:
    """Say how players of one name are written, so that each is one of them."""
    return " or ".join(session.scalars(select(Player.called).where(Player.id.in_(player_ids)).order_by(Player.called)))


def frames_by_name(session: Session, event_id: int) -> Sequence[Frame]:
    """Return the frame models of an event, by name."""
    return session.scalars(select(Frame).where(Frame.event_id == event_id).order_by(Frame.name)).all()
