"""Stringing machines, when they are out of service, and their calibrations."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from sqlalchemy import ForeignKey, UniqueConstraint, false
from sqlalchemy.orm import Mapped, mapped_column, relationship

from desk.models.base import Base


class Machine(Base):
    """A machine; kind is constant_pull, lockout or drop_weight."""

    __tablename__ = "machine"
    __table_args__ = (UniqueConstraint("event_id", "code"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    code: Mapped[str]
    name: Mapped[str]
    kind: Mapped[str]
    reach_cm: Mapped[float] = mapped_column(default=35.0)
    position: Mapped[int] = mapped_column(default=0)

    services: Mapped[list[ServiceHours]] = relationship(order_by="ServiceHours.from_at", cascade="all, delete-orphan")
    outages: Mapped[list[Outage]] = relationship(order_by="Outage.from_at", cascade="all, delete-orphan")
    calibrations: Mapped[list[Calibration]] = relationship(order_by="Calibration.id", cascade="all, delete-orphan")


class ServiceHours(Base):
    """Hours in service; a machine without any is in service throughout the event."""

    __tablename__ = "service_hours"

    machine_id: Mapped[int] = mapped_column(ForeignKey("machine.id", ondelete="CASCADE"), index=True)
    from_at: Mapped[datetime]
    to_at: Mapped[datetime]


class Outage(Base):
    """Time out of service; `to_at` is expected, or empty, until somebody says that it is `over`.

    `begun` where it began with the word; readings up to `last_reading_id` were taken before it was over.
    """

    __tablename__ = "outage"

    machine_id: Mapped[int] = mapped_column(ForeignKey("machine.id", ondelete="CASCADE"), index=True)
    from_at: Mapped[datetime]
    to_at: Mapped[datetime | None]
    begun: Mapped[bool] = mapped_column(default=False, server_default=false())
    over: Mapped[bool] = mapped_column(default=False, server_default=false())
    last_reading_id: Mapped[int | None] = mapped_column(ForeignKey("calibration.id", ondelete="SET NULL"))
    reason: Mapped[str] = mapped_column(default="")
    by: Mapped[str]


class Calibration(Base):
    """One reading of a machine against a reference tension, without a racquet; `after_change_id` as of a care."""

    __tablename__ = "calibration"

    machine_id: Mapped[int] = mapped_column(ForeignKey("machine.id", ondelete="CASCADE"), index=True)
    at: Mapped[datetime]
    by: Mapped[str]
    reference: Mapped[Decimal]
    reading: Mapped[Decimal]
    unit: Mapped[str]
    tolerance_lb: Mapped[float]
    passed: Mapped[bool]
    after_change_id: Mapped[int | None] = mapped_column(ForeignKey("state_change.id", ondelete="SET NULL"))


class MachineCheck(Base):
    """A check by interval, on the event's list until it is dropped; with a machine, in place of the general one.

    Due after `every_racquets` or `every_hours` with a racquet on the machine, whichever is first.
    """

    __tablename__ = "machine_check"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    machine_id: Mapped[int | None] = mapped_column(ForeignKey("machine.id", ondelete="CASCADE"))
    name: Mapped[str]
    every_racquets: Mapped[int | None]
    every_hours: Mapped[int | None]
    note: Mapped[str] = mapped_column(default="")
    dropped_at: Mapped[datetime | None]


class MachineCare(Base):
    """A check of a machine was done, or was noted so by mistake and taken back.

    `after_change_id` is the event's newest change of a racquet when it was done.
    """

    __tablename__ = "machine_care"

    machine_id: Mapped[int] = mapped_column(ForeignKey("machine.id", ondelete="CASCADE"), index=True)
    check_id: Mapped[int] = mapped_column(ForeignKey("machine_check.id", ondelete="CASCADE"), index=True)
    at: Mapped[datetime]
    by: Mapped[str]
    note: Mapped[str] = mapped_column(default="")
    undone_at: Mapped[datetime | None]
    undone_by: Mapped[str] = mapped_column(default="")
    after_change_id: Mapped[int | None] = mapped_column(ForeignKey("state_change.id", ondelete="SET NULL"))

    check: Mapped[MachineCheck] = relationship()
