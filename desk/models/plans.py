"""Plan runs, their assignments, and who plans at the moment."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import JSON, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from desk.models.base import Base

QUICK = "quick"
"""Status of a plan made by quick rules alone, before the search was ready; else it is the plan's own."""


class PlanRun(Base):
    """One plan that was made: of which change, how good, how long it took.

    Old runs keep their row and lose their assignments, so that a busy fortnight stays small.
    `faults` lists, for each late, unplaced or promise-breaking job, the reason in a sentence.
    """

    __tablename__ = "plan_run"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    made_at: Mapped[datetime]
    change_number: Mapped[int]
    status: Mapped[str]
    total: Mapped[int]
    bound: Mapped[int]
    seconds: Mapped[float]
    costs: Mapped[dict[str, int]] = mapped_column(JSON)
    unplaced: Mapped[list[str]] = mapped_column(JSON)
    reasons: Mapped[dict[str, str]] = mapped_column(JSON, default=dict)
    trouble: Mapped[str] = mapped_column(default="")

    assignments: Mapped[list[Assignment]] = relationship(cascade="all, delete-orphan", passive_deletes=True)


class Assignment(Base):
    """A job's place in a plan."""

    __tablename__ = "assignment"
    __table_args__ = (UniqueConstraint("run_id", "job_id"),)

    run_id: Mapped[int] = mapped_column(ForeignKey("plan_run.id", ondelete="CASCADE"))
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id", ondelete="CASCADE"), index=True)
    stringer_id: Mapped[int] = mapped_column(ForeignKey("stringer.id", ondelete="CASCADE"))
    machine_id: Mapped[int] = mapped_column(ForeignKey("machine.id", ondelete="CASCADE"))
    start_at: Mapped[datetime]
    end_at: Mapped[datetime]


class PlannerLease(Base):
    """Who plans an event until when; a lease that ran out is free for the next planner."""

    __tablename__ = "planner_lease"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), unique=True)
    holder: Mapped[str]
    until_at: Mapped[datetime]


class PlannerBeat(Base):
    """The heart-beat of one planner process; `beats` grows while it is well, whatever the clocks say."""

    __tablename__ = "planner_beat"

    holder: Mapped[str] = mapped_column(unique=True)
    beats: Mapped[int] = mapped_column(default=0)
    at: Mapped[datetime]
