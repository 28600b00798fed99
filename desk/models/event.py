"""The event, its days, and what belongs to the whole of it."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import JSON, ForeignKey, UniqueConstraint, false
from sqlalchemy.orm import Mapped, mapped_column, relationship

from desk.models.base import Base


class Event(Base):
    """A tournament that the desk serves."""

    __tablename__ = "event"

    slug: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    town: Mapped[str] = mapped_column(default="")
    desk_place: Mapped[str] = mapped_column(default="")
    time_zone: Mapped[str]
    currency: Mapped[str]
    tax_basis_points: Mapped[int] = mapped_column(default=0)
    issuer: Mapped[str] = mapped_column(default="", server_default="")
    status: Mapped[str] = mapped_column(default="open")

    target_minutes: Mapped[int] = mapped_column(default=30)
    lead_minutes: Mapped[int] = mapped_column(default=30)
    on_court_minutes: Mapped[int] = mapped_column(default=15)
    rest_minutes: Mapped[int] = mapped_column(default=60)
    between_least_minutes: Mapped[int] = mapped_column(default=15)
    between_median_minutes: Mapped[int] = mapped_column(default=23)
    match_length_per_cent: Mapped[int] = mapped_column(default=100)
    early_call_per_cent: Mapped[int] = mapped_column(default=5)
    promise_per_cent: Mapped[int] = mapped_column(default=90)
    walk_on_minutes: Mapped[int] = mapped_column(default=10, server_default="10")
    fresh_hours: Mapped[int] = mapped_column(default=18, server_default="18")
    tells_new_times: Mapped[bool] = mapped_column(default=False, server_default=false())
    stiffness_tolerance: Mapped[float] = mapped_column(default=1.0)
    calibration_tolerance_lb: Mapped[float] = mapped_column(default=1.0)
    calibration_required: Mapped[bool] = mapped_column(default=True)
    board_names: Mapped[str] = mapped_column(default="full")

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
