"""Cards of a player's racquets from before this event, shown as the last card until it is strung here."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session, joinedload

from desk.models import Frame, KnownCard, Player, Racquet
from desk.queries.counter.job_cards import CardView, viewed


def known_views(session: Session, player: Player) -> dict[int, tuple[CardView, str]]:
    """Return by racquet number the card and where it is from: "Harbour Week 2030"."""
    found = (
        select(KnownCard, Racquet, Frame)
        .join(Racquet, Racquet.id == KnownCard.racquet_id)
        .join(Frame, Frame.id == Racquet.frame_id)
        .where(Racquet.player_id == player.id)
        .options(joinedload(KnownCard.mains_string), joinedload(KnownCard.crosses_string))
    )
    views = {}
    for card, racquet, frame in session.execute(found):
        year = "" if str(card.year) in card.known_from else f" {card.year}"
        views[racquet.number] = (_view(card, racquet, frame, player), f"{card.known_from}{year}")
    return views


def _view(card: KnownCard, racquet: Racquet, frame: Frame, player: Player) -> CardView:
    """The card as a job that is long over: it has no tag and no time."""
    text = dict.fromkeys(
        (
            "code",
            "held_reason",
            "note",
            "frame_check",
            "frame_note",
            "consent",
            "above_range",
            "below_range",
            "court",
            "needed_by_why",
            "matters",
        ),
        "",
    )
    times = ("called_at", "not_before_at", "needed_by_at", "latest_at", "promised_at", "started_at", "expected_end_at")
    nobody = dict.fromkeys((*times, "finished_at", "stringer_id", "machine_id", "hand_over_id"))
    return CardView(
        job_id=0,
        state="handed_over",
        player_id=player.id,
        player=player.called,
        racquet=racquet.number,
        racquet_note=racquet.note,
        frame=frame.name,
        pattern=frame.pattern,
        bed=viewed(card.bed, card.mains_string, card.crosses_string),
        pieces=card.pieces,
        stencil=card.stencil,
        extra_work="none",
        as_fresh=card.as_fresh,
        on_court=False,
        weight=0,
        dropped_at=player.token_issued_at,
        stringer="",
        machine="",
        **text,
        **nobody,
    )
