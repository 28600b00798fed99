"""Hours as people write them, "09:00-13:00, 14:00-19:00", for the team and the machines."""

from __future__ import annotations

from datetime import date, datetime

from wtforms import SelectField, StringField
from wtforms.validators import Length

from desk.errors import BadInput
from desk.models import EventDay
from desk.trade.errors import TradeError
from desk.web import context
from desk.web.display import day_name
from desk.web.forms import DeskForm, options


class HoursForm(DeskForm):
    day_id = SelectField("Day", coerce=int)
    hours = StringField("Hours", [Length(max=80)])

    def offer_days(self) -> None:
        """Offer the days of the event."""
        self.day_id.choices = options((day.id, day_name(day.date)) for day in context.current_event().days)

    def day(self) -> EventDay:
        """Return the day that was chosen."""
        return next(day for day in context.current_event().days if day.id == self.day_id.data)


def today_at(text: str) -> datetime | None:
    """Read a wall-clock time of today; None where nothing was typed."""
    clock = context.clock()
    return clock.parse(text, clock.local(context.event_time()).date()) if text else None


def read_hours(field: StringField, day: date) -> list[tuple[datetime, datetime]]:
    """Read "09:00-13:00, 14:00-19:00" as hours of DAY; a fault is told at the field."""
    clock, found = context.clock(), []
    for part in filter(None, (one.strip() for one in field.data.split(","))):
        first, _, last = part.replace("–", "-").partition("-")
        try:
            found.append((clock.parse(first, day), clock.parse(last, day)))
        except TradeError as error:
            field.errors = [*field.errors, "write hours such as 09:00-13:00, 14:00-19:00"]
            raise BadInput(f"“{part}” are no hours.") from error
    return found
