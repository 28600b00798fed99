"""Anything at this event found by a few letters: players, contacts, tags, matches, string."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Job, Match, Player, StringType
from desk.queries.players.contacts import find_contacts
from desk.queries.players.players import find_players
from desk.queries.string.store import string_label
from desk.trade.contacts import KINDS
from desk.trade.event.names import search_name

MOST_OF_A_KIND = 6


@dataclass(frozen=True, kw_only=True)
class Found:
    """One thing found: what it is, its name, what else tells it apart, and what its address needs."""

    kind: str
    name: str
    what: str
    key: str | int


def search(session: Session, event: Event, text: str) -> list[Found]:
    """Return what TEXT finds, tags and players first; nothing for an empty text."""
    wanted = text.strip()
    if not wanted:
        return []
    return [*_tags(session, event, wanted), *_players(session, event, wanted), *_contacts(session, event, wanted),
            *_matches(session, event, wanted), *_strings(session, event, wanted)]  # fmt: skip


def _tags(session: Session, event: Event, text: str) -> list[Found]:
    code = text.upper().replace(" ", "")
    found = (
        select(Job.code, Job.state, Player.called)
        .join(Player, Player.id == Job.player_id)
        .where(Job.event_id == event.id, Job.code.startswith(code, autoescape=True))
        .order_by(Job.code)
        .limit(MOST_OF_A_KIND)
    )
    return [Found(kind="tag", name=row.code, what=row.called, key=row.code) for row in session.execute(found)]


def _players(session: Session, event: Event, text: str) -> list[Found]:
    return [
        Found(kind="player", name=row.name, what=row.code, key=row.player_id)
        for row in find_players(session, event, text, limit=MOST_OF_A_KIND)
    ]


def _contacts(session: Session, event: Event, text: str) -> list[Found]:
    return [
        Found(kind="contact", name=row.name, what=KINDS[row.kind], key=row.contact_id)
        for row in find_contacts(session, event, text, limit=MOST_OF_A_KIND)
    ]


def _matches(session: Session, event: Event, text: str) -> list[Found]:
    found = select(Match).where(
        Match.event_id == event.id, func.lower(Match.code).startswith(text.lower(), autoescape=True)
    )
    rows = session.scalars(found.order_by(Match.code).limit(MOST_OF_A_KIND))
    return [Found(kind="match", name=row.code, what=row.court.name, key=row.id) for row in rows]


def _strings(session: Session, event: Event, text: str) -> list[Found]:
    wanted = search_name(text)
    rows = session.scalars(select(StringType).where(StringType.event_id == event.id).order_by(StringType.name))
    found = [row for row in rows if wanted and wanted in search_name(f"{row.code} {row.name}")]
    return [Found(kind="string", name=string_label(row), what=row.code, key=row.code) for row in found[:MOST_OF_A_KIND]]
