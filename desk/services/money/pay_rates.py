"""What a stringer is paid: a rate a racquet, or an hour on shift."""

from __future__ import annotations

from sqlalchemy.orm import Session

from desk.models import Stringer
from desk.services.acting import Acting, lock_event, note_change, write_log
from desk.services.form_faults import refuse
from desk.services.of_event import find_of
from desk.trade.event.money import Money

RATE_PER = {"racquet": "a racquet", "hour": "an hour on shift"}
MOST_MINOR = 10_000_000


def set_rate(
    session: Session, event_id: int, stringer_id: int, rate_minor: int | None, *, per: str, acting: Acting
) -> Stringer:
    """Set the rate of a stringer; None takes it away. Sheets of days gone by count by it too."""
    event = lock_event(session, event_id)
    stringer = find_of(session, event, Stringer, stringer_id, "stringer")
    faults = {} if per in RATE_PER else {"per": "choose racquet or hour"}
    if rate_minor is not None and not 0 <= rate_minor <= MOST_MINOR:
        faults["amount"] = "give an amount from 0"
    refuse(faults, "This rate cannot be set")
    stringer.rate_minor, stringer.rate_per = rate_minor, per
    said = "none" if rate_minor is None else f"{Money(rate_minor, event.currency).display()} {RATE_PER[per]}"
    write_log(session, event, acting, "team", f"Rate of {stringer.name}: {said}")
    note_change(event, plan=False)
    return stringer
