"""Players: added on the fly, with their racquets; a new link to their page; their data erased at the end."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from functools import partial

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event, Frame, Player, Racquet
from desk.queries.finding import find_of, present_player
from desk.queries.word.word_ways import BY_PAGE
from desk.services.acting import Acting, lock_event, log_change
from desk.services.form_values import change, chosen_code, codes_of, name_of_person, refuse, values_of
from desk.services.players.erasing import RENAMED
from desk.services.word.word_ways import end_ways_of
from desk.trade.event.event_settings import CLUB_WEEKEND
from desk.trade.event.names import search_name
from desk.trade.racquet.value_kinds import HOURS_A_WEEK

_log = partial(log_change, subject="players", plan=False)

LONGEST_NAME = 200
LONGEST_PHONE = 40
HOURS_IN_A_WEEK = 168


@dataclass(frozen=True, kw_only=True)
class PlayerForm:
    """What the desk enters of a player; hours a week are for the advice when to restring."""

    name: str
    code: str = ""
    hours_per_week: float | None = None
    note: str = ""
    phone: str = ""


def add_player(
    session: Session, event_id: int, form: PlayerForm, *, acting: Acting, is_namesake: bool = False
) -> Player:
    """Add a player; a second one of the same name is added only as a namesake."""
    event = lock_event(session, event_id)
    _require_player(form)
    if event.kind == CLUB_WEEKEND and not form.phone.strip():
        raise BadInput("A visitor is told by telephone.", fields={"phone": "give the telephone number"})
    if not is_namesake:
        _require_new_name(session, event, form.name)
    taken = codes_of(session, event, Player)
    code = chosen_code(form.code, taken, "P", "player", digits=3, first=len(taken) + 1)
    token = secrets.token_urlsafe(16)
    player = Player(event_id=event.id, code=code, token=token, token_issued_at=acting.at, **_values(form))
    session.add(player)
    _log(session, event, acting, f"{player.name} added as {player.code}")
    return player


def _require_new_name(session: Session, event: Event, name: str) -> None:
    same = session.scalar(
        select(Player).where(Player.event_id == event.id, Player.search_name == search_name(name)).limit(1)
    )
    if same is not None:
        raise Conflict(
            f"{same.name} is a player already ({same.code}); choose that one, "
            "or say that this is a namesake and add something to tell them apart."
        )


def edit_player(session: Session, event_id: int, player_id: int, form: PlayerForm, *, acting: Acting) -> Player:
    """Change a player's name, hours or note; the code stays."""
    event = lock_event(session, event_id)
    player = present_player(session, event, player_id)
    _require_player(form)
    before = player.name
    change(player, _values(form))
    renamed = f"{before}{RENAMED}" if before != player.name else ""
    _log(session, event, acting, f"{player.code} changed: {renamed}{player.name}")
    return player


def _values(form: PlayerForm) -> dict[str, object]:
    return values_of(form, "code") | name_of_person(form.name)


def _require_player(form: PlayerForm) -> None:
    faults = {}
    if not 0 < len(form.name.strip()) <= LONGEST_NAME:
        faults["name"] = f"give a name of at most {LONGEST_NAME} letters"
    if form.hours_per_week is not None and (fault := HOURS_A_WEEK.fault(form.hours_per_week)):
        faults["hours_per_week"] = fault
    if len(form.phone) > LONGEST_PHONE:
        faults["phone"] = f"at most {LONGEST_PHONE} signs"
    refuse(faults, "This player cannot be saved like this")


def new_token(session: Session, event_id: int, player_id: int, *, acting: Acting) -> str:
    """Give a player a new link; the old one no longer works, nor does what was asked for on its page."""
    event = lock_event(session, event_id)
    player = present_player(session, event, player_id)
    player.token, player.token_issued_at = secrets.token_urlsafe(16), acting.at
    end_ways_of(session, player, acting.at, by=BY_PAGE)
    _log(session, event, acting, f"{player.called} has a new link; the old one no longer works")
    return player.token


def add_racquet(
    session: Session,
    event_id: int,
    player_id: int,
    frame_id: int,
    *,
    acting: Acting,
    number: int | None = None,
    note: str = "",
) -> Racquet:
    """Add a racquet to a player; without a number it gets the next one."""
    event = lock_event(session, event_id)
    player = present_player(session, event, player_id)
    frame = find_of(session, event, Frame, frame_id, "frame")
    numbers = set(session.scalars(select(Racquet.number).where(Racquet.player_id == player.id)))
    wanted = max(numbers, default=0) + 1 if number is None else number
    if wanted in numbers or wanted < 1:
        raise BadInput(
            f"{player.called} cannot have a racquet number {wanted}; take the next free number, "
            f"{max(numbers, default=0) + 1}.",
            fields={"number": "is taken" if wanted in numbers else "count from 1"},
        )
    racquet = Racquet(player_id=player.id, frame_id=frame.id, number=wanted, note=note.strip())
    session.add(racquet)
    _log(session, event, acting, f"{player.called}: racquet {wanted}, {frame.name}, added")
    return racquet
