"""What the desk refuses at the counter whatever the plan says, and what it asks back."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Job
from desk.queries.counter.drop_off_preview import frame_of
from desk.trade.drop_off_forms import DropOffForm, RacquetForm
from desk.trade.racquet.bed import is_above
from desk.trade.racquet.frame_answer import ANSWER_WORDS, CRACKED, WORN, contradicts, needs_consent, spoken_of
from desk.trade.racquet.frame_check import check_lowest
from desk.trade.racquet.units import Tension


def require_takeable(session: Session, form: DropOffForm) -> None:
    """Refuse a form that the desk cannot take whatever the plan says: each with what to do."""
    _require_two_pieces(form)
    _require_whole_frames(form)
    _require_answers(form)
    _require_consent(session, form)
    _require_low_meant(session, form)
    _require_not_here(session, form)


def _require_two_pieces(form: DropOffForm) -> None:
    for racquet in form.racquets:
        if racquet.card.pieces == 1 and not racquet.card.bed.is_one_string:
            raise BadInput(
                "A hybrid is always two pieces: two strings, or string of the player and of the desk, "
                "cannot be strung in one.",
                fields={"pieces": "choose two pieces, 4 knots"},
            )


def _require_whole_frames(form: DropOffForm) -> None:
    if any(racquet.frame_check == CRACKED for racquet in form.racquets):
        raise BadInput(
            "A cracked frame is not strung, consent or no: it can burst under tension. Tell the owner, who keeps it, "
            "and take the other racquets in without it.",
            fields={"frame_check": "cracked: this racquet is not taken in"},
        )


def _require_answers(form: DropOffForm) -> None:
    """Ask back where a note speaks of what nobody answered for, or of more than was answered."""
    for racquet in form.racquets:
        note, answer = racquet.frame_note.strip(), racquet.frame_check
        agreed = spoken_of(note) == WORN and form.consent.strip()
        if not answer and spoken_of(note) and not agreed:
            raise BadInput(
                f"The note says “{note}”. Look at the frame, and say what it is: sound, grommets worn, or cracked.",
                fields={"frame_check": "say sound, worn or cracked: a note alone decides nothing"},
            )
        if contradicts(answer, note) and not racquet.frame_meant:
            what = "Is the frame cracked" if spoken_of(note) == CRACKED else "Are the grommets worn"
            raise BadInput(
                f"The note says “{note}”, the answer is {ANSWER_WORDS[answer]}. {what}? "
                "Look once more: change the answer, or say that it stands.",
                fields={"frame_meant": "the note says more than the answer"},
            )


def _require_consent(session: Session, form: DropOffForm) -> None:
    if form.consent.strip():
        return
    above = [frame for racquet in form.racquets if (frame := _above_range(session, racquet)) is not None]
    if above:
        raise BadInput(
            f"The tension is above the range printed on {above[0]}: the frame can break. "
            "String within the range, or keep the owner's consent first.",
            fields={"consent": "write down who consented", "tension": "above the range"},
        )
    if any(needs_consent(racquet.frame_check, racquet.card.extra_work) for racquet in form.racquets):
        raise BadInput(
            "The grommets are worn: the string can break on them, and the frame can suffer. "
            "Put new grommets on the card, or keep the owner's consent first.",
            fields={"consent": "write down who consented to worn grommets", "extra_work": "new grommets"},
        )


def _require_low_meant(session: Session, form: DropOffForm) -> None:
    for racquet in form.racquets:
        frame = frame_of(session, racquet)
        if racquet.low_meant or frame.tension_low is None or frame.tension_high is None or frame.tension_unit is None:
            continue
        low, high = (Tension(value, frame.tension_unit) for value in (frame.tension_low, frame.tension_high))
        found = check_lowest(racquet.card.bed.map(lambda half: half.spoken), low, high)
        if found.asks_back:
            raise BadInput(
                f"{found.message} Say that it is meant so low, or put it right.", fields={"low_meant": "asked back"}
            )


def _above_range(session: Session, form: RacquetForm) -> str | None:
    frame = frame_of(session, form)
    if frame.tension_high is None or frame.tension_unit is None:
        return None
    return frame.name if is_above(form.card.bed, Tension(frame.tension_high, frame.tension_unit)) else None


def _require_not_here(session: Session, form: DropOffForm) -> None:
    ids = [racquet.racquet_id for racquet in form.racquets if racquet.racquet_id is not None]
    if len(ids) != len(set(ids)):
        raise BadInput("The same racquet stands twice on this drop-off; take one away.")
    here = session.scalar(select(Job).where(Job.racquet_id.in_(ids), Job.state.in_(("waiting", "on_machine", "held"))))
    if here is not None:
        raise Conflict(
            f"Racquet {here.racquet.number} is at the desk already as {here.code}; change that job or cancel it first."
        )
