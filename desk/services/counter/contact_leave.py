"""Whether the contact who stands at the counter may hand in or take the racquets of a player."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Contact, ContactPlayer
from desk.trade.contacts import LEAVE_WORDS


def allowed_contact(session: Session, contact_id: int | None, player_id: int, leave: str) -> Contact | None:
    """Return the contact, or None where none is named; refuse one who has no such LEAVE for the player."""
    if contact_id is None:
        return None
    found = (
        select(Contact)
        .join(ContactPlayer, ContactPlayer.contact_id == Contact.id)
        .where(Contact.id == contact_id, Contact.ended_at.is_(None), ContactPlayer.player_id == player_id)
        .where(getattr(ContactPlayer, leave).is_(True))
    )
    contact = session.scalar(found)
    if contact is None:
        raise BadInput(
            f"This contact is not one who {LEAVE_WORDS[leave]} for this player (any more). Choose somebody else, "
            "or type the name.",
            fields={"who": "may not for this player"},
        )
    return contact
