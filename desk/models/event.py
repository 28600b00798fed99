"""The event, its days, and what belongs to the whole of it."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, UniqueConstraint, false, true
from sqlalchemy.orm import Mapped, MappedColumn, mapped_column, relationship

from desk.models.base import Base
from desk.trade.event.event_settings import CLUB_WEEKEND, SETTINGS


def _setting(name: str, **more: Any) -> MappedColumn[Any]:
    """The column of a setting, with the default that its entry says."""
    return mapped_column(default=SETTINGS[name].default, **more)


class Event(Base):
    """A tournament, or a club weekend, that the desk serves."""

    __tablename__ = "event"

    slug: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    kind: Mapped[str] = _setting("kind", server_default="tournament")
    town: Mapped[str] = _setting("town")
    desk_place: Mapped[str] = _setting("desk_place")
    time_zone: Mapped[str]
    currency: Mapped[str]
    tax_basis_points: Mapped[int] = _setting("tax_basis_points")
    issuer: Mapped[str] = _setting("issuer", server_default="")
    status: Mapped[str] = mapped_column(default="open")

    target_minutes: Mapped[int] = _setting("target_minutes")
    lead_minutes: Mapped[int] = _setting("lead_minutes")
    on_court_minutes: Mapped[int] = _setting("on_court_minutes")
    rest_minutes: Mapped[int] = _setting("rest_minutes")
    between_least_minutes: Mapped[int] = _setting("between_least_minutes")
    between_median_minutes: Mapped[int] = _setting("between_median_minutes")
    match_length_per_cent: Mapped[int] = _setting("match_length_per_cent")
    early_call_per_cent: Mapped[int] = _setting("early_call_per_cent")
    promise_per_cent: Mapped[int] = _setting("promise_per_cent")
    walk_on_minutes: Mapped[int] = _setting("walk_on_minutes", server_default="10")
    fresh_hours: Mapped[int] = _setting("fresh_hours", server_default="18")
    tells_new_times: Mapped[bool] = _setting("tells_new_times", server_default=false())
    tells_anybody: Mapped[bool] = _setting("tells_anybody", server_default=true())
    mail_by_players: Mapped[bool] = _setting("mail_by_players", server_default=true())
    word_from_hour: Mapped[int] = _setting("word_from_hour", server_default="7")
    word_until_hour: Mapped[int] = _setting("word_until_hour", server_default="22")
    stiffness_tolerance: Mapped[float] = _setting("stiffness_tolerance")
    calibration_tolerance_lb: Mapped[float] = _setting("calibration_tolerance_lb")
    calibration_required: Mapped[bool] = _setting("calibration_required")
    board_names: Mapped[str] = _setting("board_names")
    names_stringers: Mapped[bool] = _setting("names_stringers", server_default=true())
    csv_form: Mapped[str] = _setting("csv_form", server_default="comma")

    # The demo's clock: event time = clock_event_at + speed x (real time - clock_real_at).
    clock_speed: Mapped[float] = mapped_column(default=1.0)
    clock_real_at: Mapped[datetime | None]
    clock_event_at: Mapped[datetime | None]

    # `revision` counts everything that a screen could show; `change_number` what needs a new plan.
    revision: Mapped[int] = mapped_column(default=1)
    change_number: Mapped[int] = mapped_column(default=1)
    planned_change_number: Mapped[int] = mapped_column(default=0)
    # The plan in force; no foreign key, since plan_run already points here.
    current_run_id: Mapped[int | None]

    days: Mapped[list[EventDay]] = relationship(back_populates="event", order_by="EventDay.date")

    @property
    def fresh_within_hours(self) -> int | None:
        """Hours before it is needed that a racquet is strung at the earliest; None for visitors, who want it soon."""
        return None if self.kind == CLUB_WEEKEND else self.fresh_hours


class EventDay(Base):
    """One day of an event with the hours of the desk.

    `figures` are those of its usage sheet as they stood when the day was closed or last corrected.
    """

    __tablename__ = "event_day"
    __table_args__ = (UniqueConstraint("event_id", "date"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    date: Mapped[date]
    opens_at: Mapped[datetime]
    closes_at: Mapped[datetime]
    closed_at: Mapped[datetime | None]
    closed_by: Mapped[str] = mapped_column(default="")
    figures: Mapped[dict[str, float | None] | None] = mapped_column(JSON(none_as_null=True))

    event: Mapped[Event] = relationship(back_populates="days")


class DayOpening(Base):
    """A closed day was opened again: why, by whom, and its figures as they had been signed."""

    __tablename__ = "day_opening"

    day_id: Mapped[int] = mapped_column(ForeignKey("event_day.id", ondelete="CASCADE"), index=True)
    at: Mapped[datetime]
    by: Mapped[str]
    reason: Mapped[str]
    closed_at: Mapped[datetime]
    closed_by: Mapped[str]
    figures: Mapped[dict[str, float | None] | None] = mapped_column(JSON(none_as_null=True))


class DayCorrection(Base):
    """A note that a figure of a closed day was corrected: what, why, by whom."""

    __tablename__ = "day_correction"

    day_id: Mapped[int] = mapped_column(ForeignKey("event_day.id", ondelete="CASCADE"), index=True)
    at: Mapped[datetime]
    by: Mapped[str]
    subject: Mapped[str] = mapped_column(default="", server_default="")
    before: Mapped[str] = mapped_column(default="", server_default="")
    after: Mapped[str] = mapped_column(default="", server_default="")
    note: Mapped[str]


class LogEntry(Base):
    """One line of the desk's log: who did what, when."""

    __tablename__ = "log_entry"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    at: Mapped[datetime] = mapped_column(index=True)
    by: Mapped[str]
    subject: Mapped[str]
    text: Mapped[str]
    job_id: Mapped[int | None] = mapped_column(ForeignKey("job.id", ondelete="SET NULL"), index=True)


class Secret(Base):
    """A key that the installation made for itself, by name."""

    __tablename__ = "secret"

    name: Mapped[str] = mapped_column(unique=True)
    value: Mapped[str]


class HouseTime(Base):
    """Minutes at pace 100 for one kind of job, as the lead decided."""

    __tablename__ = "house_time"
    __table_args__ = (UniqueConstraint("event_id", "key"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    key: Mapped[str]
    minutes: Mapped[int]
    at: Mapped[datetime]
    by: Mapped[str]


class SentForm(Base):
    """A form that was carried out, so that the same one sent again counts once."""

    __tablename__ = "sent_form"

    digest: Mapped[str] = mapped_column(unique=True)
    at: Mapped[datetime]
