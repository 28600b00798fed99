"""The contacts of an event and the rules who pays, as rows of the event files."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Contact, ContactPlayer, Event, PayRule, Player
from desk.services.event_files.so_far.cell_texts import yes_no_cell
from desk.services.event_files.storing_contacts import LEAVE_OF_COLUMN

Cells = dict[str, Any]


def contacts(session: Session, event: Event) -> Iterator[Cells]:
    """Every contact that has not ended."""
    found = select(Contact).where(Contact.event_id == event.id, Contact.ended_at.is_(None)).order_by(Contact.id)
    for one in session.scalars(found):
        yield {name: getattr(one, name) for name in ("code", "name", "kind", "phone", "email", "language")}


def contact_players(session: Session, event: Event) -> Iterator[Cells]:
    """What each contact may do for each of its players."""
    found = (
        select(ContactPlayer, Contact.code, Player.code)
        .join(Contact, Contact.id == ContactPlayer.contact_id)
        .join(Player, Player.id == ContactPlayer.player_id)
        .where(Contact.event_id == event.id, Contact.ended_at.is_(None))
        .order_by(ContactPlayer.id)
    )
    for link, contact, player in session.execute(found):
        may = {column: yes_no_cell(getattr(link, name)) for column, name in LEAVE_OF_COLUMN.items()}
        yield {"contact": contact, "player": player} | may


def pay_rules(session: Session, event: Event) -> Iterator[Cells]:
    """The rules in their order."""
    found = (
        select(PayRule, Contact.code, Player.code)
        .join(Contact, Contact.id == PayRule.payer_id)
        .outerjoin(Player, Player.id == PayRule.player_id)
        .where(PayRule.event_id == event.id, Contact.ended_at.is_(None))
        .order_by(PayRule.id)
    )
    for rule, payer, player in session.execute(found):
        covers = rule.covers.replace(",", " ")
        yield {"payer": payer, "covers": covers, "player": player or "", "first_racquets": rule.first_racquets or ""}


OF_TABLE = {"contacts": contacts, "contact_players": contact_players, "pay_rules": pay_rules}
"""What writes each of these tables."""
