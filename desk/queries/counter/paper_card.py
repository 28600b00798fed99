"""What the job card says beside the card on the screen: what to cut from which reel, the frame, match and sisters."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from textwrap import wrap

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Court, Event, Frame, Job, Match, Player, Racquet
from desk.queries.counter.job_cards import CardView
from desk.queries.money.charge_lines import Line, lines_of
from desk.queries.plan.spoken_bench import WithWhom, with_whom_of
from desk.queries.string.lengths import event_factors, need_of
from desk.queries.string.store import load_stock
from desk.trade.racquet.bed import Bed
from desk.trade.racquet.reel_choice import Need, Shortage
from desk.trade.racquet.string_length import Metres
from desk.trade.racquet.units import plain

AT_DESK = ("waiting", "on_machine", "held", "strung")
FIRST_PAGE, FURTHER_PAGE = 230, 1100
"""Letters of notes that the first page of a card has room for, and each further one."""
LONG_WORDS = 110
"""Letters of name, frame and strings from which the first page is set closer."""


@dataclass(frozen=True, kw_only=True)
class CutWords:
    """What to cut for one half: metres, and the reel by its code; nothing where none is long enough."""

    metres: float
    reel: str


@dataclass(frozen=True, kw_only=True)
class PaperCard:
    """One job card on paper."""

    card: CardView
    cuts: Bed[CutWords]
    head: str
    printed_range: str
    whom: WithWhom | None
    match: str
    match_at: datetime | None
    sisters: tuple[tuple[str, int], ...]
    notes: tuple[tuple[str, str], ...]

    @property
    def is_long(self) -> bool:
        """Whether the notes need a page of their own."""
        return sum(len(text) for _, text in self.notes) > FIRST_PAGE

    @property
    def is_close(self) -> bool:
        """Whether the first page is set closer, so that all of it stands there."""
        words = (self.card.player, self.card.frame, *(half.string for half in self.card.bed))
        return self.is_long or sum(len(word) for word in words) > LONG_WORDS

    @property
    def note_pages(self) -> list[list[tuple[str, str]]]:
        """The notes by page, where they need their own; one that is too long for a page goes on to the next."""
        pages: list[list[tuple[str, str]]] = []
        room = 0
        for name, text in self.notes if self.is_long else ():
            for number, part in enumerate(wrap(text, FURTHER_PAGE)):
                if len(part) > room:
                    pages.append([])
                    room = FURTHER_PAGE
                pages[-1].append((f"{name}, continued" if number else name, part))
                room -= len(part)
        return pages


def paper_card(session: Session, event: Event, card: CardView, at: datetime) -> PaperCard:
    """Return what the paper of a job says AT the moment of printing."""
    job = session.get_one(Job, card.job_id)
    racquet = session.get_one(Racquet, job.racquet_id)
    match = None if job.match_id is None else session.get_one(Match, job.match_id)
    return PaperCard(
        card=card,
        cuts=_cuts(session, event, job, racquet.frame),
        head=_head(racquet.frame),
        printed_range=_printed_range(racquet.frame),
        whom=with_whom_of(session, event, at, [card]).get(card.job_id),
        match="" if match is None else f"{match.code}, {session.get_one(Court, match.court_id).name}",
        match_at=None if match is None else match.start_at,
        sisters=_sisters(session, job),
        notes=_notes(session, card),
    )


def _need(session: Session, event: Event, job: Job, frame: Frame) -> Need:
    return need_of(job.card, frame, player_id=job.player_id, factors=event_factors(session, event))


def _cuts(session: Session, event: Event, job: Job, frame: Frame) -> Bed[CutWords]:
    need = _need(session, event, job, frame)
    stock = load_stock(session, event)
    taken = stock.take(need, own_may_be_loose=True)
    reels: dict[str, str] = {}
    if not isinstance(taken, Shortage):
        for cut in taken:
            reel = stock.reels.get(cut.reel_id) if cut.reel_id is not None else None
            reels[cut.part] = reel.code if reel else "with the racquet"
    return Bed.of(lambda half: CutWords(metres=need.bed[half].metres, reel=reels.get(half, "")))


def _head(frame: Frame) -> str:
    if frame.head_sq_in is not None:
        return f"{frame.head_sq_in:g} sq in"
    if frame.head_length_cm is not None and frame.head_width_cm is not None:
        return f"{frame.head_length_cm:g} × {frame.head_width_cm:g} cm"
    return ""


def _printed_range(frame: Frame) -> str:
    ends = [plain(end) for end in (frame.tension_low, frame.tension_high) if end is not None]
    return f"{' to '.join(ends)} {frame.tension_unit}" if ends and frame.tension_unit else ""


def _sisters(session: Session, job: Job) -> tuple[tuple[str, int], ...]:
    """Tag and number of the player's other racquets at the desk."""
    found = (
        select(Job.code, Racquet.number)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .where(Job.player_id == job.player_id, Job.id != job.id, Job.state.in_(AT_DESK))
        .order_by(Racquet.number, Job.serial)
    )
    return tuple((row.code, row.number) for row in session.execute(found))


def _notes(session: Session, card: CardView) -> tuple[tuple[str, str], ...]:
    """Every note with what it is a note on."""
    of_player = session.scalar(select(Player.note).where(Player.id == card.player_id)) or ""
    named = (
        ("Stencil", card.stencil),
        ("Note for this job", card.note),
        ("Racquet", card.racquet_note),
        ("Player", of_player),
        ("Frame", card.frame_note),
        ("Owner’s consent", card.consent),
    )
    return tuple((name, text.strip()) for name, text in named if text.strip())


def expected_lines(session: Session, event: Event, job_id: int) -> list[Line]:
    """Return what a racquet is charged, or as the prices stand now will be: by metres computed until it is strung."""
    job = session.get_one(Job, job_id)
    frame = session.get_one(Racquet, job.racquet_id).frame
    need = _need(session, event, job, frame)
    metres = Metres(need.bed.mains.metres, need.bed.crosses.metres)
    return [] if job.redo_of_id is not None else lines_of(session, event, job, expected=metres)
