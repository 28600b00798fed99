"""Courts, the order of play, and what stops play."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, UniqueConstraint, false
from sqlalchemy.orm import Mapped, mapped_column, relationship

from desk.models.base import Base


class Court(Base):
    """A court of the event."""

    __tablename__ = "court"
    __table_args__ = (UniqueConstraint("event_id", "name"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    name: Mapped[str]
    position: Mapped[int] = mapped_column(default=0)


class Match(Base):
    """A match in the order of play.

    `format` is best_of_3_men, best_of_3_women, best_of_5_men or doubles; `start_kind` is at,
    not_before or followed_by; `state` is scheduled, on_court, suspended, finished, retired or
    walkover. `position` orders the matches of one court and day.
    """

    __tablename__ = "match"
    __table_args__ = (UniqueConstraint("event_id", "code"),)

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    day_id: Mapped[int] = mapped_column(ForeignKey("event_day.id", ondelete="CASCADE"), index=True)
    court_id: Mapped[int] = mapped_column(ForeignKey("court.id", ondelete="CASCADE"), index=True)
    code: Mapped[str]
    position: Mapped[int]
    format: Mapped[str]
    start_kind: Mapped[str]
    start_at: Mapped[datetime | None]
    state: Mapped[str] = mapped_column(default="scheduled")
    started_at: Mapped[datetime | None]
    ended_at: Mapped[datetime | None]
    sets_done: Mapped[int] = mapped_column(default=0)
    winner_side: Mapped[int | None]

    court: Mapped[Court] = relationship()
    sides: Mapped[list[MatchSide]] = relationship(
        foreign_keys="MatchSide.match_id", order_by="MatchSide.side, MatchSide.id", cascade="all, delete-orphan"
    )
    changes: Mapped[list[MatchChange]] = relationship(order_by="MatchChange.id", cascade="all, delete-orphan")


class MatchSide(Base):
    """One player of one side of a match, or the winner of an earlier match."""

    __tablename__ = "match_side"

    match_id: Mapped[int] = mapped_column(ForeignKey("match.id", ondelete="CASCADE"), index=True)
    side: Mapped[int]
    player_id: Mapped[int | None] = mapped_column(ForeignKey("player.id", ondelete="SET NULL"), index=True)
    winner_of_id: Mapped[int | None] = mapped_column(ForeignKey("match.id", ondelete="SET NULL"))


class MatchChange(Base):
    """A match went from one state to another, or was moved; the last one can be undone.

    A move keeps the state; `from_…` say where the match was before. Courts and days that a match was on stay
    as long as the event, so that they are no foreign keys.
    """

    __tablename__ = "match_change"

    match_id: Mapped[int] = mapped_column(ForeignKey("match.id", ondelete="CASCADE"), index=True)
    at: Mapped[datetime]
    by: Mapped[str]
    from_state: Mapped[str]
    to_state: Mapped[str]
    from_day_id: Mapped[int | None]
    from_court_id: Mapped[int | None]
    from_position: Mapped[int | None]
    from_start_at: Mapped[datetime | None]

    @property
    def is_move(self) -> bool:
        return self.from_court_id is not None


class PlayStop(Base):
    """All courts stop (rain); `resumes_at` is expected, or empty, until somebody says that it is `over`."""

    __tablename__ = "play_stop"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    from_at: Mapped[datetime]
    resumes_at: Mapped[datetime | None]
    over: Mapped[bool] = mapped_column(default=False, server_default=false())
    reason: Mapped[str] = mapped_column(default="rain")
    by: Mapped[str]
