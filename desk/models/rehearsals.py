"""Before an event: rehearsals on their way and as they were made, and wishes about whose players are whose."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, false
from sqlalchemy.orm import Mapped, mapped_column

from desk.models.base import Base


class Rehearsal(Base):
    """One rehearsal: `report` is that of `exports.rehearsal`, field by field; `asked` what was typed for it."""

    __tablename__ = "rehearsal"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    made_at: Mapped[datetime]
    by: Mapped[str]
    asked: Mapped[dict[str, Any]] = mapped_column(JSON)
    report: Mapped[dict[str, Any]] = mapped_column(JSON)


class RehearsalRun(Base):
    """One rehearsal that was asked for and how far it is, whoever plays it; `asked` is what was typed.

    `beats` grows while the process that plays it is well; `of` is 0 until it begins to play.
    """

    __tablename__ = "rehearsal_run"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    asked_at: Mapped[datetime]
    by: Mapped[str]
    asked: Mapped[dict[str, Any]] = mapped_column(JSON)
    done: Mapped[int] = mapped_column(default=0)
    of: Mapped[int] = mapped_column(default=0)
    seconds_left: Mapped[float] = mapped_column(default=0.0)
    beats: Mapped[int] = mapped_column(default=0)
    stop_asked: Mapped[bool] = mapped_column(default=False, server_default=false())
    is_over: Mapped[bool] = mapped_column(default=False, server_default=false())
    trouble: Mapped[str] = mapped_column(default="")


class PlayerWish(Base):
    """What somebody wishes about a player's stringer; `kind` is one of `desk.trade.rehearsed.wish_kinds.KINDS`.

    It names either a stringer, or another player whose stringer is meant.
    """

    __tablename__ = "player_wish"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    kind: Mapped[str]
    player_id: Mapped[int] = mapped_column(ForeignKey("player.id", ondelete="CASCADE"), index=True)
    stringer_id: Mapped[int | None] = mapped_column(ForeignKey("stringer.id", ondelete="CASCADE"))
    other_id: Mapped[int | None] = mapped_column(ForeignKey("player.id", ondelete="CASCADE"))
    at: Mapped[datetime]
    by: Mapped[str]
