"""The first steps of a new event, from nothing to a running desk, each with what is missing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import (
    Account,
    DropOff,
    Event,
    KnownCard,
    Machine,
    Match,
    Player,
    Price,
    Racquet,
    Rehearsal,
    Shift,
    Stringer,
    StringType,
)
from desk.queries.machines.readings_due import readings_due
from desk.trade.event.event_settings import CLUB_WEEKEND

NOT_FOR_VISITORS = ("play.page", "settings.people")
"""Steps that a club weekend does without: it has no matches, and one person does all."""

COUNTED = {
    "machines": ("machine", "machines"),
    "team": ("stringer with hours", "stringers with hours"),
    "strings": ("string", "strings"),
    "matches": ("match", "matches"),
    "prices": ("price", "prices"),
    "accounts": ("account", "accounts"),
    "rehearsals": ("rehearsal", "rehearsals"),
    "drop_offs": ("drop-off", "drop-offs"),
}


def said_count(count: int, one: str, many: str) -> str:
    """Return a count with its noun."""
    return f"{count} {one if count == 1 else many}"


@dataclass(frozen=True, kw_only=True)
class FirstStep:
    """One step: the screen where it is done, what is there (empty: nothing yet), and what is missing.

    A step that `may_wait` keeps no racquet from being strung.
    """

    screen: str
    name: str
    there: str
    missing: str
    done: bool
    may_wait: bool = False


def first_steps(session: Session, event: Event, at: datetime) -> list[FirstStep]:
    """Return the steps in their order; an empty list once there is a team at machines and a racquet was dropped off."""
    counts = _counts(session, event)
    if all(counts[key] for key in ("machines", "team", "strings", "drop_offs")):
        return []
    steps = _steps(counts, readings_due(session, event, at).names)
    return [step for step in steps if event.kind != CLUB_WEEKEND or step.screen not in NOT_FOR_VISITORS]


def _counts(session: Session, event: Event) -> dict[str, int]:
    of_event = {"machines": Machine, "strings": StringType, "prices": Price, "matches": Match, "drop_offs": DropOff}
    of_event |= {"rehearsals": Rehearsal}
    found = {name: select(func.count()).where(table.event_id == event.id) for name, table in of_event.items()}
    found["earlier"] = select(func.count(Event.id)).where(Event.id != event.id)
    found["known_cards"] = (
        select(func.count(KnownCard.id))
        .join(Racquet, Racquet.id == KnownCard.racquet_id)
        .join(Player, Player.id == Racquet.player_id)
        .where(Player.event_id == event.id)
    )
    at_work = select(func.count(Stringer.id.distinct())).join(Shift).where(Stringer.event_id == event.id)
    found |= {"team": at_work, "accounts": select(func.count(Account.id)).where(Account.active)}
    row = session.execute(select(*(one.scalar_subquery().label(name) for name, one in found.items()))).one()
    return dict(row._mapping)


def _steps(counts: dict[str, int], waiting: Sequence[str]) -> Iterator[FirstStep]:
    def step(key: str, screen: str, name: str, missing: str, *, may_wait: bool = False, enough: int = 1) -> FirstStep:
        there, done = said_count(counts[key], *COUNTED[key]) if counts[key] else "", counts[key] >= enough
        return FirstStep(screen=screen, name=name, there=there, missing=missing, done=done, may_wait=may_wait)

    if counts["earlier"]:
        yield FirstStep(
            screen="take_over.page",
            name="Earlier event",
            there="",
            missing="Its players, cards, team and prices can be taken over.",
            done=bool(counts["known_cards"]),
            may_wait=True,
        )
    yield step("machines", "machines.page", "Machines", "Each machine with its name and how it pulls.")
    yield step("team", "team.page", "Team", "Who strings, at which machine, and their hours.")
    yield step("strings", "store.page", "String", "The strings of the event, and what is there of each.")
    yield FirstStep(
        screen="calibration.page",
        name="Calibration",
        there="" if waiting or not counts["machines"] else "read",
        missing=f"Still to be read today: {', '.join(waiting)}." if waiting else "Each machine at two tensions.",
        done=bool(counts["machines"]) and not waiting,
    )
    typed = "Typed, or read from a file. Without it racquets are needed at the times you type."
    yield step("matches", "play.page", "Order of play", typed, may_wait=True)
    yield step("prices", "settings.price_list", "Price list", "Without it nothing is charged.", may_wait=True)
    people = "Front desk, stringers and organiser, each with a role."
    yield step("accounts", "settings.people", "Accounts", people, may_wait=True, enough=2)
    which = "Which team it takes, whose players are whose, how much string to order."
    yield step("rehearsals", "rehearsal.page", "Rehearsal", which, may_wait=True)
    yield step(
        "drop_offs", "drop_off.page", "First drop-off", "Three letters of a name; new players are added on the way."
    )
