"""Jobs as they read on a card: who, what string at which tension, by when, how far it is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session, aliased

from desk.models import Court, DropOff, Frame, Job, JobCard, Machine, Player, Racquet, Stringer, StringType
from desk.models.jobs import half_strung
from desk.queries.row_making import row_of
from desk.queries.string.store import string_label
from desk.trade.play.needed_by import A_LITTLE_MIN, Standing, minutes_past, standing
from desk.trade.racquet.bed import HalfCard, StringBed, is_above, spoken_tensions
from desk.trade.racquet.frame_check import check_lowest
from desk.trade.racquet.string_length import Pattern
from desk.trade.racquet.units import Tension


@dataclass(frozen=True, kw_only=True)
class HalfView(HalfCard):
    """How one half is strung, with the words and the material of its string."""

    string: str
    material: str


@dataclass(frozen=True, kw_only=True)
class CardView:
    """One job with its card, ready to show; times are UTC.

    `time_at` is what counts for the player: the promise, else the needed-by time.
    """

    job_id: int
    code: str
    state: str
    held_reason: str
    player_id: int
    player: str
    racquet: int
    frame: str
    pattern: Pattern
    bed: StringBed[HalfView]
    pieces: int
    stencil: str
    extra_work: str
    as_fresh: bool
    note: str
    racquet_note: str
    frame_check: str
    frame_note: str
    consent: str
    above_range: str
    below_range: str
    on_court: bool
    court: str
    weight: int
    matters: str
    dropped_at: datetime
    called_at: datetime | None
    not_before_at: datetime | None
    needed_by_at: datetime | None
    latest_at: datetime | None
    needed_by_why: str
    promised_at: datetime | None
    stringer_id: int | None
    stringer: str
    machine_id: int | None
    machine: str
    started_at: datetime | None
    expected_end_at: datetime | None
    finished_at: datetime | None
    hand_over_id: int | None

    @property
    def time_at(self) -> datetime | None:
        return self.promised_at or self.needed_by_at

    def minutes_past(self, at: datetime) -> int:
        """Whole minutes by which the time that counts has passed AT."""
        return minutes_past(at, self.time_at)

    def standing_at(self, at: datetime) -> Standing:
        """Whether it is late or tight AT: a promise missed by a little, or a time before the latest, is tight."""
        if self.promised_at is None:
            return standing(at, self.needed_by_at, self.latest_at)
        missed = self.minutes_past(at)
        return "late" if missed >= A_LITTLE_MIN else "tight" if missed else ""

    @property
    def is_half_strung(self) -> bool:
        return half_strung(self.state, self.started_at)

    @property
    def time_word(self) -> str:
        """What `time_at` is."""
        return "promised" if self.promised_at else "needed by"

    @property
    def knots(self) -> int:
        return 2 * self.pieces

    @property
    def strings(self) -> str:
        """The string, or both of a hybrid: "Tarn Poly 1.25 / Fell Gut 1.30"."""
        return " / ".join(half.string for half in self.bed) if self.bed.is_hybrid else self.bed.mains.string

    @property
    def tensions(self) -> str:
        return spoken_tensions(self.bed)


def card_views(session: Session, *conditions: ColumnElement[bool], limit: int | None = None) -> list[CardView]:
    """Return the jobs for which CONDITIONS hold, in the order of their tags, in one statement."""
    mains, crosses = aliased(StringType), aliased(StringType)
    found = (
        select(Job, JobCard, Player.called, Racquet, Frame, mains, crosses, DropOff)
        .add_columns(Court.name, Stringer.name, Machine.name, Job.promised_at)
        .join(JobCard, JobCard.job_id == Job.id)
        .join(Player, Player.id == Job.player_id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .join(Frame, Frame.id == Racquet.frame_id)
        .join(mains, mains.id == JobCard.mains_string_id)
        .join(crosses, crosses.id == JobCard.crosses_string_id)
        .join(DropOff, DropOff.id == Job.drop_off_id)
        .outerjoin(Court, Court.id == Job.court_id)
        .outerjoin(Stringer, Stringer.id == Job.stringer_id)
        .outerjoin(Machine, Machine.id == Job.machine_id)
        .where(*conditions)
        .order_by(Job.serial)
        .limit(limit)
    )
    return [_view(*row) for row in session.execute(found)]


def card_by_code(session: Session, event_id: int, code: str) -> CardView | None:
    """Return the job whose tag carries CODE."""
    found = card_views(session, Job.event_id == event_id, Job.code == code)
    return found[0] if found else None


def _view(
    job: Job,
    card: JobCard,
    player: str,
    racquet: Racquet,
    frame: Frame,
    mains: StringType,
    crosses: StringType,
    drop_off: DropOff,
    court: str | None,
    stringer: str | None,
    machine: str | None,
    promised_at: datetime | None,
) -> CardView:
    return row_of(
        CardView,
        job,
        card,
        job_id=job.id,
        player=player,
        racquet=racquet.number,
        racquet_note=racquet.note,
        frame=frame.name,
        pattern=frame.pattern,
        bed=viewed(card.bed, mains, crosses),
        frame_note=drop_off.frame_note,
        consent=drop_off.consent,
        above_range=_above_range(card, frame),
        below_range=_below_range(card, frame),
        court=court or "",
        stringer=stringer or "",
        machine=machine or "",
        promised_at=promised_at,
    )


def viewed(bed: StringBed[HalfCard], mains: StringType, crosses: StringType) -> StringBed[HalfView]:
    """Return a bed with the words and the material of its strings."""
    return StringBed(
        *(
            HalfView(**vars(half), string=string_label(string), material=string.material)
            for half, string in zip(bed, (mains, crosses), strict=True)
        )
    )


def _below_range(card: JobCard, frame: Frame) -> str:
    """Return what is asked back where another unit may have been meant, else nothing: low tensions exist."""
    if frame.tension_low is None or frame.tension_high is None or frame.tension_unit is None:
        return ""
    low, high = (Tension(value, frame.tension_unit) for value in (frame.tension_low, frame.tension_high))
    found = check_lowest(card.bed.map(lambda half: half.spoken), low, high)
    return found.message if found.meant else ""


def _above_range(card: JobCard, frame: Frame) -> str:
    """Return the frame's printed range where the card asks for more, else nothing."""
    if frame.tension_high is None or frame.tension_unit is None:
        return ""
    if not is_above(card.bed, Tension(frame.tension_high, frame.tension_unit)):
        return ""
    low = "" if frame.tension_low is None else f"{frame.tension_low} to "
    return f"{low}{frame.tension_high} {frame.tension_unit}"
