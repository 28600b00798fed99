"""Players, stringers with their hours, and those who may sign in."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from sqlalchemy import ColumnElement, ForeignKey, UniqueConstraint, case, exists, false, literal_column, true
from sqlalchemy.orm import Mapped, aliased, column_property, mapped_column, relationship

from desk.models.base import Base


class Player(Base):
    """A player at one event; `token` opens the player's own page.

    `called` is the name as everybody reads it: with the code behind it where two of the event bear one name.
    `own_stringer_id` and `own_machine_id` are the lead's decision; `first_stringer_id` and `first_machine_id` those of
    the first plan with a racquet of the player, kept until the stringer leaves (`desk.queries.plan.own_bench`).
    """

    __tablename__ = "player"
    __table_args__ = (UniqueConstraint("event_id", "code"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    code: Mapped[str]
    name: Mapped[str]
    search_name: Mapped[str] = mapped_column(index=True)
    token: Mapped[str] = mapped_column(unique=True)
    token_issued_at: Mapped[datetime]
    hours_per_week: Mapped[float | None]
    phone: Mapped[str] = mapped_column(default="", server_default="")
    note: Mapped[str] = mapped_column(default="")
    own_stringer_id: Mapped[int | None] = mapped_column(ForeignKey("stringer.id", ondelete="SET NULL"))
    own_machine_id: Mapped[int | None] = mapped_column(ForeignKey("machine.id", ondelete="SET NULL"))
    first_stringer_id: Mapped[int | None] = mapped_column(ForeignKey("stringer.id", ondelete="SET NULL"))
    first_machine_id: Mapped[int | None] = mapped_column(ForeignKey("machine.id", ondelete="SET NULL"))
    erased_at: Mapped[datetime | None]
    called: ClassVar[Mapped[str]]


def _called() -> ColumnElement[str]:
    other = aliased(Player)
    has_namesake = exists().where(
        other.event_id == Player.event_id,
        other.search_name == Player.search_name,
        other.id != Player.id,
        other.erased_at.is_(None),
    )
    # Written out, not bound, so that PostgreSQL sees one expression where a query groups or sorts by it.
    return case(
        (has_namesake, Player.name + literal_column("' ('") + Player.code + literal_column("')'")), else_=Player.name
    )


Player.called = column_property(_called())


class Stringer(Base):
    """Somebody who strings; paces are per cent of house time, 110 is a tenth slower.

    `pace` is learned from finished jobs, beginning at `pace_entered`; `pace_override` stands instead of both.
    `strings_gut`, `strings_on_court` and `is_trainee` say what they may string, `most_a_day` how many racquets.
    `rate_minor` is what they are paid a racquet or an hour on shift (`rate_per`); empty: none is set.
    """

    __tablename__ = "stringer"
    __table_args__ = (UniqueConstraint("event_id", "code"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    code: Mapped[str]
    name: Mapped[str]
    home_machine_id: Mapped[int | None] = mapped_column(ForeignKey("machine.id", ondelete="SET NULL"))
    pace: Mapped[int] = mapped_column(default=100)
    pace_entered: Mapped[int] = mapped_column(default=100, server_default="100")
    pace_override: Mapped[int | None]
    strings_gut: Mapped[bool] = mapped_column(default=True, server_default=true())
    strings_on_court: Mapped[bool] = mapped_column(default=True, server_default=true())
    is_trainee: Mapped[bool] = mapped_column(default=False, server_default=false())
    most_a_day: Mapped[int | None]
    rate_minor: Mapped[int | None]
    rate_per: Mapped[str] = mapped_column(default="racquet", server_default="racquet")
    pin_hash: Mapped[str] = mapped_column(default="")
    position: Mapped[int] = mapped_column(default=0)

    shifts: Mapped[list[Shift]] = relationship(order_by="Shift.from_at", cascade="all, delete-orphan")
    absences: Mapped[list[Absence]] = relationship(order_by="Absence.from_at", cascade="all, delete-orphan")


class Shift(Base):
    """Hours at work, half-open; a break is the gap between two shifts."""

    __tablename__ = "shift"

    stringer_id: Mapped[int] = mapped_column(ForeignKey("stringer.id", ondelete="CASCADE"), index=True)
    from_at: Mapped[datetime]
    to_at: Mapped[datetime]


class Absence(Base):
    """Hours that a stringer misses; `to_at` is expected, or empty, until somebody says that it is `over`.

    `begun` where it began with the word.
    """

    __tablename__ = "absence"

    stringer_id: Mapped[int] = mapped_column(ForeignKey("stringer.id", ondelete="CASCADE"), index=True)
    from_at: Mapped[datetime]
    to_at: Mapped[datetime | None]
    begun: Mapped[bool] = mapped_column(default=False, server_default=false())
    over: Mapped[bool] = mapped_column(default=False, server_default=false())
    reason: Mapped[str] = mapped_column(default="")
    by: Mapped[str]


class Account(Base):
    """Somebody who may sign in; role is lead, desk, stringer or organiser.

    `link_hash` is that of a link that lets its holder choose the password, once and before `link_until`.
    """

    __tablename__ = "account"

    name: Mapped[str] = mapped_column(unique=True)
    role: Mapped[str]
    password_hash: Mapped[str]
    event_id: Mapped[int | None] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    wrong_tries: Mapped[int] = mapped_column(default=0)
    last_wrong_at: Mapped[datetime | None]
    active: Mapped[bool] = mapped_column(default=True)
    link_hash: Mapped[str] = mapped_column(default="", server_default="")
    link_until: Mapped[datetime | None]


class TrustedDevice(Base):
    """A bench device on which stringers may sign in by PIN."""

    __tablename__ = "trusted_device"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    name: Mapped[str]
    token_hash: Mapped[str] = mapped_column(unique=True)
    trusted_at: Mapped[datetime]
    trusted_by: Mapped[str]
    withdrawn_at: Mapped[datetime | None]
    wrong_tries: Mapped[int] = mapped_column(default=0)
    last_wrong_at: Mapped[datetime | None]


class SignedSession(Base):
    """Somebody signed in on one browser; what is ended here is ended, whatever cookie is shown."""

    __tablename__ = "signed_session"

    key_hash: Mapped[str] = mapped_column(unique=True)
    account_id: Mapped[int | None] = mapped_column(ForeignKey("account.id", ondelete="CASCADE"), index=True)
    stringer_id: Mapped[int | None] = mapped_column(ForeignKey("stringer.id", ondelete="CASCADE"), index=True)
    begun_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]
