"""Who is told when a racquet is ready, by which way, and every word that goes out."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import BigInteger, ForeignKey, Index, Integer, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from desk.models.base import Base
from desk.models.contacts import Contact
from desk.models.jobs import Job
from desk.models.people import Player


class WordWay(Base):
    """One way by which one player or contact is told: an e-mail address, or a phone that a push service reaches.

    `kind` is mail or phone; `address` is the e-mail address or the address of the push service (RFC 8030), `public_key`
    and `auth_secret` are the phone's (RFC 8291). What has ended keeps its row without address and keys.
    """

    __tablename__ = "word_way"

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"), index=True)
    player_id: Mapped[int | None] = mapped_column(ForeignKey("player.id", ondelete="CASCADE"), index=True)
    contact_id: Mapped[int | None] = mapped_column(ForeignKey("contact.id", ondelete="CASCADE"), index=True)
    kind: Mapped[str]
    language: Mapped[str]
    address: Mapped[str]
    public_key: Mapped[str] = mapped_column(default="")
    auth_secret: Mapped[str] = mapped_column(default="")
    stop_token: Mapped[str] = mapped_column(unique=True)
    at: Mapped[datetime]
    by: Mapped[str]
    ended_at: Mapped[datetime | None]
    ended_why: Mapped[str] = mapped_column(default="")

    player: Mapped[Player | None] = relationship()
    contact: Mapped[Contact | None] = relationship()

    @property
    def whose(self) -> Player | Contact:
        """The person who is told."""
        found = self.player or self.contact
        assert found is not None
        return found

    @property
    def called(self) -> str:
        """The person's name as everybody reads it."""
        return self.whose.called if isinstance(self.whose, Player) else self.whose.name


class Word(Base):
    """One thing that one person is told of one racquet, once.

    `occasion` is ready, later, sooner, late, held or taken_back, and `cause_id` the state change or promise that caused
    it. `known_at` is the ready time that the person knew before, `ready_at` the one that is told. `state` is waiting,
    sending, sent, failed, uncertain (it may have arrived) or dropped; `letter` is the same for all that went in one
    message. `next_at` and `tried_at` are real times, `at` is the event's.
    """

    __tablename__ = "word"
    __table_args__ = (
        UniqueConstraint("way_id", "job_id", "occasion", "cause_id"),
        Index("ix_word_event_id_state", "event_id", "state"),
    )

    event_id: Mapped[int] = mapped_column(ForeignKey("event.id", ondelete="CASCADE"))
    way_id: Mapped[int] = mapped_column(ForeignKey("word_way.id", ondelete="CASCADE"))
    job_id: Mapped[int] = mapped_column(ForeignKey("job.id", ondelete="CASCADE"), index=True)
    occasion: Mapped[str]
    cause_id: Mapped[int] = mapped_column(BigInteger().with_variant(Integer, "sqlite"))
    at: Mapped[datetime]
    known_at: Mapped[datetime | None]
    ready_at: Mapped[datetime | None]
    state: Mapped[str] = mapped_column(default="waiting")
    tries: Mapped[int] = mapped_column(default=0)
    next_at: Mapped[datetime | None]
    tried_at: Mapped[datetime | None]
    letter: Mapped[str] = mapped_column(default="", index=True)
    why: Mapped[str] = mapped_column(default="")

    way: Mapped[WordWay] = relationship()
    job: Mapped[Job] = relationship()


class WordSender(Base):
    """Who sends word, until when; `beats` grows while the sender is well, whatever the clocks say."""

    __tablename__ = "word_sender"

    name: Mapped[str] = mapped_column(unique=True)
    holder: Mapped[str]
    until_at: Mapped[datetime]
    beats: Mapped[int] = mapped_column(default=0)
