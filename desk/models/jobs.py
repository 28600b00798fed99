"""Drop-offs, jobs with their cards, promises, state changes, hand-overs."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import JSON, ColumnElement, ForeignKey, Index, UniqueConstraint, false, select
from sqlalchemy.ext.hybrid import hybrid_property
from sqlalchemy.orm import Mapped, composite, mapped_column, relationship

from desk.models.base import Base
from desk.models.people import Player
from desk.models.racquets import Racquet
from desk.models.string_store import StringType
from desk.trade.bench.kept_places import plan_name
from desk.trade.racquet.bed import Bed, HalfCard, StringBed

STATE_WORDS = {
    "waiting": "waiting",
    "on_machine": "on the machine",
    "strung": "strung",
    "handed_over": "handed over",
    "held": "held",
    "cancelled": "cancelled",
    "redo": "to be strung again",
}
"""Every state of a job, as a person says it."""
OPEN_STATES = ("waiting", "on_machine", "held")


def half_strung(state: str, started_at: datetime | None) -> bool:
    """Tell whether a racquet is held half-strung: nothing else that is held keeps the time at which it was begun."""
    return state == "held" and started_at is not None


class DropOff(Base):
    """One visit at the counter with one or more racquets.

    `request_key` is unique for each form that was sent, so that a form sent twice counts once.
    `brought_by` is the name of whoever stood at the counter, empty for the player; `brought_by_id` if a contact.
    """

    __tablename__ = "drop_off"
    __table_args__ = (UniqueConstraint("event_id", "request_key"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    player_id: Mapped[int] = mapped_column(ForeignKey("player.id", ondelete="RESTRICT"), index=True)
    at: Mapped[datetime]
    by: Mapped[str]
    request_key: Mapped[str]
    frame_checked: Mapped[bool] = mapped_column(default=False)
    frame_note: Mapped[str] = mapped_column(default="")
    consent: Mapped[str] = mapped_column(default="")
    brought_by: Mapped[str] = mapped_column(default="", server_default="")
    brought_by_id: Mapped[int | None] = mapped_column(ForeignKey("contact.id", ondelete="SET NULL"), index=True)

    player: Mapped[Player] = relationship()
    jobs: Mapped[list[Job]] = relationship(back_populates="drop_off", order_by="Job.id")


class Job(Base):
    """One racquet strung once.

    `needed_by_kind` is match (follows the player's next match), time (fixed by the desk) or none.
    `latest_at` is when the player may truly be called, at or after `needed_by_at`. `weight` is what a
    minute late counts (`desk.trade.play.needed_by`). `matters` is first for the racquet of a bag that matters most,
    later for one that follows to the court. `frame_check` is sound or worn, where somebody looked the frame over.
    `played_hours` are those of the bed, as the player said. `kept_place` is its place in the order of its bench, by a
    hand. `called_at` is when its player, on court by then, called for it; `before_call` what that changed.
    """

    __tablename__ = "job"
    __table_args__ = (
        UniqueConstraint("event_id", "serial"),
        UniqueConstraint("event_id", "code"),
        Index("ix_job_event_id_state", "event_id", "state"),
    )

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    drop_off_id: Mapped[int] = mapped_column(ForeignKey("drop_off.id", ondelete="RESTRICT"), index=True)
    player_id: Mapped[int] = mapped_column(ForeignKey("player.id", ondelete="RESTRICT"), index=True)
    racquet_id: Mapped[int] = mapped_column(ForeignKey("racquet.id", ondelete="RESTRICT"), index=True)
    serial: Mapped[int]
    code: Mapped[str]
    state: Mapped[str] = mapped_column(default="waiting")
    held_reason: Mapped[str] = mapped_column(default="")
    on_court: Mapped[bool] = mapped_column(default=False)
    court_id: Mapped[int | None] = mapped_column(ForeignKey("court.id", ondelete="SET NULL"))
    called_at: Mapped[datetime | None]
    before_call: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))
    redo_of_id: Mapped[int | None] = mapped_column(ForeignKey("job.id", ondelete="SET NULL"))

    dropped_at: Mapped[datetime]
    not_before_at: Mapped[datetime | None]
    needed_by_kind: Mapped[str] = mapped_column(default="match")
    needed_by_at: Mapped[datetime | None]
    latest_at: Mapped[datetime | None]
    needed_by_why: Mapped[str] = mapped_column(default="")
    match_id: Mapped[int | None] = mapped_column(ForeignKey("match.id", ondelete="SET NULL"))
    weight: Mapped[int] = mapped_column(default=5)
    matters: Mapped[str] = mapped_column(default="", server_default="")
    frame_check: Mapped[str] = mapped_column(default="", server_default="")
    house_minutes: Mapped[int]
    pinned_stringer_id: Mapped[int | None] = mapped_column(ForeignKey("stringer.id", ondelete="SET NULL"))
    pinned_machine_id: Mapped[int | None] = mapped_column(ForeignKey("machine.id", ondelete="SET NULL"))
    kept_place: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))

    stringer_id: Mapped[int | None] = mapped_column(ForeignKey("stringer.id", ondelete="SET NULL"), index=True)
    machine_id: Mapped[int | None] = mapped_column(ForeignKey("machine.id", ondelete="SET NULL"))
    started_at: Mapped[datetime | None]
    expected_end_at: Mapped[datetime | None]
    finished_at: Mapped[datetime | None] = mapped_column(index=True)
    hand_over_id: Mapped[int | None] = mapped_column(ForeignKey("hand_over.id", ondelete="SET NULL"))
    late_why: Mapped[str] = mapped_column(default="", server_default="")
    stiffness: Mapped[float | None]
    played_hours: Mapped[float | None]
    checks_done: Mapped[str] = mapped_column(default="")

    drop_off: Mapped[DropOff] = relationship(back_populates="jobs")
    player: Mapped[Player] = relationship()
    racquet: Mapped[Racquet] = relationship()
    card: Mapped[JobCard] = relationship(back_populates="job", cascade="all, delete-orphan", uselist=False)
    promises: Mapped[list[Promise]] = relationship(order_by="Promise.id", cascade="all, delete-orphan")
    changes: Mapped[list[StateChange]] = relationship(order_by="StateChange.id", cascade="all, delete-orphan")

    @hybrid_property
    def promised_at(self) -> datetime | None:
        """The ready time told last, the one that counts."""
        return self.promises[-1].ready_at if self.promises else None

    @promised_at.inplace.expression
    @classmethod
    def _promised_at(cls) -> ColumnElement[datetime | None]:
        newest = select(Promise.ready_at).where(Promise.job_id == cls.id).order_by(Promise.id.desc()).limit(1)
        return newest.scalar_subquery()

    @property
    def is_half_strung(self) -> bool:
        """Whether it is held in the middle: begun, and neither finished nor cut out."""
        return half_strung(self.state, self.started_at)

    @property
    def wanted_since(self) -> datetime:
        """When it came, or was called for from the court."""
        return self.called_at or self.dropped_at

    @property
    def held_back_until(self) -> datetime | None:
        """Before when it is not to be strung; one that was called for is wanted at once."""
        return self.not_before_at if self.called_at is None else None

    @property
    def plan_name(self) -> str:
        """The job's id in workload and plan files."""
        return plan_name(self.serial)


class JobCard(Base):
    """How one racquet is to be strung; tensions keep the value and the unit that were spoken.

    `pieces` is 1 or 2 (2 or 4 knots); pre-stretch is per cent; `extra_work` is none, grommets, grip (its
    size), overgrip, or grommets with one of the two (grommets_and_grip); an own half of the string is one
    that the player brought. `as_fresh` asks for a bed strung as shortly before it is needed as can be.
    """

    __tablename__ = "job_card"

    job_id: Mapped[int] = mapped_column(ForeignKey("job.id", ondelete="CASCADE"), unique=True)
    mains_string_id: Mapped[int] = mapped_column(ForeignKey("string_type.id", ondelete="RESTRICT"), index=True)
    crosses_string_id: Mapped[int] = mapped_column(ForeignKey("string_type.id", ondelete="RESTRICT"), index=True)
    mains_tension: Mapped[Decimal]
    crosses_tension: Mapped[Decimal]
    tension_unit: Mapped[str]
    pieces: Mapped[int] = mapped_column(default=2)
    mains_pre_stretch: Mapped[int] = mapped_column(default=0)
    crosses_pre_stretch: Mapped[int] = mapped_column(default=0)
    stencil: Mapped[str] = mapped_column(default="")
    extra_work: Mapped[str] = mapped_column(default="none")
    own_mains: Mapped[bool] = mapped_column(default=False)
    own_crosses: Mapped[bool] = mapped_column(default=False)
    as_fresh: Mapped[bool] = mapped_column(default=False, server_default=false())
    note: Mapped[str] = mapped_column(default="")

    mains: Mapped[HalfCard] = composite(
        HalfCard, "mains_string_id", "mains_tension", "tension_unit", "mains_pre_stretch", "own_mains"
    )
    crosses: Mapped[HalfCard] = composite(
        HalfCard, "crosses_string_id", "crosses_tension", "tension_unit", "crosses_pre_stretch", "own_crosses"
    )
    job: Mapped[Job] = relationship(back_populates="card")
    mains_string: Mapped[StringType] = relationship(foreign_keys=[mains_string_id])
    crosses_string: Mapped[StringType] = relationship(foreign_keys=[crosses_string_id])

    @property
    def bed(self) -> StringBed[HalfCard]:
        return StringBed(self.mains, self.crosses)

    @bed.setter
    def bed(self, bed: Bed[HalfCard]) -> None:
        self.mains, self.crosses = bed

    @property
    def strings(self) -> Bed[StringType]:
        return Bed(self.mains_string, self.crosses_string)


class Promise(Base):
    """A ready time told to a player; a changed promise is a new row, none is overwritten."""

    __tablename__ = "promise"

    job_id: Mapped[int] = mapped_column(ForeignKey("job.id", ondelete="CASCADE"), index=True)
    ready_at: Mapped[datetime]
    given_at: Mapped[datetime]
    by: Mapped[str]
    planned_end_at: Mapped[datetime | None]
    margin_minutes: Mapped[int] = mapped_column(default=0)
    reason: Mapped[str] = mapped_column(default="")


class StateChange(Base):
    """A job went from one state to another."""

    __tablename__ = "state_change"

    job_id: Mapped[int] = mapped_column(ForeignKey("job.id", ondelete="CASCADE"), index=True)
    at: Mapped[datetime] = mapped_column(index=True)
    by: Mapped[str]
    from_state: Mapped[str]
    to_state: Mapped[str]
    note: Mapped[str] = mapped_column(default="")
    request_key: Mapped[str | None] = mapped_column(unique=True)


class HandOver(Base):
    """Racquets given back, and who took them: `collected_by` by name, `collected_by_id` if it was a contact."""

    __tablename__ = "hand_over"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    player_id: Mapped[int] = mapped_column(ForeignKey("player.id", ondelete="RESTRICT"), index=True)
    at: Mapped[datetime]
    by: Mapped[str]
    collected_by: Mapped[str]
    collected_by_id: Mapped[int | None] = mapped_column(ForeignKey("contact.id", ondelete="SET NULL"), index=True)
    note: Mapped[str] = mapped_column(default="")
    undone_at: Mapped[datetime | None]
    undone_by: Mapped[str] = mapped_column(default="")
