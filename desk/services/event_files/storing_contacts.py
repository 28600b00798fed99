"""Storing the contacts of an event that was read: for whom they stand, and who pays by rule."""

from __future__ import annotations

import secrets
from collections.abc import Mapping, Sequence
from dataclasses import asdict

from sqlalchemy.orm import Session

from desk.models import Contact, ContactPlayer, Event, PayRule
from desk.services.acting import Acting
from desk.services.event_files.tables.spec import Row
from desk.trade.contacts import USUAL
from desk.trade.event.names import search_name

LEAVE_OF_COLUMN = {
    "drops_off": "may_drop_off",
    "collects": "may_collect",
    "is_told": "is_told",
    "pays": "may_pay",
    "sees_prices": "sees_prices",
}
"""What each column of the table contact_players says, as the records call it."""


def store_contacts(
    session: Session,
    event: Event,
    tables: Mapping[str, Sequence[Row]],
    players: Mapping[str, int],
    acting: Acting,
) -> None:
    """Store the contacts with their PLAYERS (ids by code) and the rules who pays."""
    made = {row["code"]: _contact(event, row, acting) for row in tables["contacts"]}
    session.add_all(made.values())
    session.flush()
    for row in tables["contact_players"]:
        contact = made[row["contact"]]
        said = {LEAVE_OF_COLUMN[name]: row[name] for name in LEAVE_OF_COLUMN if row[name] is not None}
        may = asdict(USUAL[contact.kind]) | said
        session.add(ContactPlayer(contact_id=contact.id, player_id=players[row["player"]], **may))
    for row in tables["pay_rules"]:
        session.add(
            PayRule(
                event_id=event.id,
                payer_id=made[row["payer"]].id,
                player_id=None if row["player"] is None else players[row["player"]],
                covers=",".join(row["covers"]),
                first_racquets=row["first_racquets"],
            )
        )


def _contact(event: Event, row: Row, acting: Acting) -> Contact:
    same = {name: row[name] for name in ("code", "name", "kind", "phone", "email", "language")}
    return Contact(
        event_id=event.id,
        search_name=search_name(row["name"]),
        token=secrets.token_urlsafe(16),
        token_issued_at=acting.at,
        **same,
    )
