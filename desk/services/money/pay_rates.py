"""What a stringer is paid: a rate a racquet, or an hour on shift."""

from __future__ import annotations

from sqlalchemy.orm import Session

from desk.models import Stringer
from desk.services.acting import Acting, lock_and_find, log_change
from desk.services.form_values import refuse
from desk.trade.event.money import Money

RATE_PER = {"racquet": "a racquet", "hour": "an hour on shift"}
MOST_MINOR = 10_000_000


def set_rate(
    session: Session, event_id: int, stringer_id: int, rate_minor: int | None, *, per: str, acting: Acting
) -> Stringer:
    """Set the rate of a stringer; None takes it away. Sheets of days gone by count by it too."""
    event, stringer = lock_and_find(session, event_id, Stringer, stringer_id, "stringer")
    faults = {} if per in RATE_PER else {"per": "choose racquet or hour"}
    if rate_minor is not None and not 0 <= rate_minor <= MOST_MINOR:
        faults["amount"] = "give an amount from 0"
    refuse(faults, "This rate cannot be set")
    stringer.rate_minor, stringer.rate_per = rate_minor, per
    said = "none" if rate_minor is None else f"{Money(rate_minor, event.currency).display()} {RATE_PER[per]}"
    log_change(session, event, acting, f"Rate of {stringer.name}: {said}", subject="team", plan=False)
    return stringer
