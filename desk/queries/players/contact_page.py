"""What a contact sees of the desk: the racquets of its players, and prices only where it may see them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy.orm import Session

from desk.models import Contact, Event
from desk.queries.money.charges import account
from desk.queries.players.contacts import stood_for
from desk.queries.players.player_page import OwnPage, own_pages


@dataclass(frozen=True, kw_only=True)
class ForPlayer:
    """One player on the contact's page; `own` holds no charges unless `sees_prices`."""

    own: OwnPage
    sees_prices: bool


@dataclass(frozen=True, kw_only=True)
class ContactPage:
    """All that a contact's page shows; `owed` is the contact's own account, charged and open, where it pays."""

    name: str
    players: tuple[ForPlayer, ...]
    owed: tuple[int, int] | None
    days: tuple[tuple[datetime, datetime], ...]

    def at_desk(self) -> int:
        return sum(len(one.own.at_desk()) for one in self.players)


def contact_page(session: Session, event_id: int, contact_id: int, at: datetime) -> ContactPage:
    """Return a contact's page at AT; the number of statements is fixed."""
    contact = session.get_one(Contact, contact_id)
    links = stood_for(session, contact)
    pages = own_pages(session, event_id, [link.player_id for link in links], at)
    pays = [link for link in links if link.leave.may_pay]
    found = account(session, session.get_one(Event, event_id), contact) if pays else None
    return ContactPage(
        name=contact.name,
        players=tuple(
            ForPlayer(
                own=page if link.leave.sees_prices else replace(page, charges=(), paid=()),
                sees_prices=link.leave.sees_prices,
            )
            for link in links
            for page in [pages[link.player_id]]
        ),
        owed=None if found is None else (found.charged_minor, found.open_minor),
        days=next((page.days for page in pages.values()), ()),
    )
