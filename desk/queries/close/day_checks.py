"""What to look at before a day is closed: one list, each line with its count and where to mend it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from sqlalchemy.orm import Session

from desk.models import STATE_WORDS, Event, EventDay
from desk.queries.close import day_span
from desk.queries.close.usage_files import read_usage
from desk.queries.machines.machines import machine_rows
from desk.queries.mishaps.mishaps import open_words
from desk.queries.money.payer_totals import payer_totals
from desk.queries.money.player_totals import player_totals
from desk.queries.string.foresight import foresee
from desk.queries.string.store import reel_rows
from desk.trade.event.money import Money
from desk.trade.racquet.reel_choice import LOOSE, ROUNDING_M, SETS
from exports.report import UsageReport

Place = Literal["benches", "plan", "pickup", "string", "charges", "machines", "mishaps", "sheets"]
NAMED = 5
"""Names that a line of the list shows before it says how many more there are."""


@dataclass(frozen=True)
class Check:
    """What a line says after a count, what it says where that is 0, and where it is mended."""

    todo: str
    well: str
    where: Place
    forbids: bool = False


CHECKS = {
    "on_machine": Check(
        "on a machine: finish them or report a problem before the day is closed.",
        "No racquet is on a machine.",
        "benches",
        forbids=True,
    ),
    "waiting": Check("waiting: they are carried over to the next day.", "No racquet waits to be strung.", "plan"),
    "held": Check("held: release or cancel them, or let them be carried over.", "No racquet is held.", "plan"),
    "uncollected": Check(
        "strung and not collected: lock them away and tell the players.", "Every strung racquet is collected.", "pickup"
    ),
    "string_missing": Check(
        "open without enough string on one reel: order it tonight.", "There is string for every open racquet.", "string"
    ),
    "reels": Check(
        "used and not measured: measure what is left and enter it.", "Every reel that was used is measured.", "string"
    ),
    "accounts": Check(
        "players whose account is open: settle them, or leave them to the end of the event.",
        "Every account is settled.",
        "charges",
    ),
    "machines_out": Check(
        "out of service: decide tonight what stands in for them tomorrow.", "Every machine is in service.", "machines"
    ),
    "uncalibrated": Check(
        "not calibrated this day: calibrate every machine before work tomorrow.",
        "Every machine was calibrated this day; calibrate again before work tomorrow.",
        "machines",
    ),
    "mishaps": Check(
        "went wrong and open: say what was done, and book the string of what was cut out.",
        "Nothing that went wrong is open.",
        "mishaps",
    ),
    "totals": Check(
        "totals that two counts do not agree on: look into them before the sheet is used.",
        "Every total was counted twice and agrees.",
        "sheets",
    ),
}


@dataclass(frozen=True, kw_only=True)
class CheckItem:
    """One thing to look at: how many (0: all is well), in a sentence, and the first few of them by name.

    `where` is the screen on which it is mended; the day cannot be closed as long as one stands that `forbids`.
    """

    key: str
    count: int
    text: str
    names: tuple[str, ...] = ()
    where: Place
    forbids: bool = False


def check_list(session: Session, event: Event, day: EventDay, *, at: datetime) -> list[CheckItem]:
    """Return the check list of a day, in the order in which a lead goes through it."""
    report = read_usage(session, event, day.date, at=at)
    return [
        *_racquets(report),
        _item("string_missing", [f"{one.job_code} {one.string_name}" for one in foresee(session, event).cannot_string]),
        _reels(session, event, report),
        _accounts(session, event),
        *_machines(session, event, day, at),
        _item("mishaps", open_words(session, event)),
        _item("totals", [row.figure for row in report.cross_checks if row.differs]),
    ]


def _item(key: str, names: Sequence[str]) -> CheckItem:
    check, count = CHECKS[key], len(names)
    more = (f"and {count - NAMED} more",) if count > NAMED else ()
    return CheckItem(
        key=key,
        count=count,
        text=check.todo if count else check.well,
        names=(*names[:NAMED], *more),
        where=check.where,
        forbids=check.forbids and count > 0,
    )


def _racquets(report: UsageReport) -> Iterator[CheckItem]:
    for key in ("on_machine", "waiting", "held"):
        here = [f"{row.tag} {row.player}" for row in report.carried_over if row.state == STATE_WORDS[key]]
        yield _item(key, here)
    yield _item("uncollected", [f"{row.tag} {row.player}" for row in report.uncollected])


def _reels(session: Session, event: Event, report: UsageReport) -> CheckItem:
    """The desk's own reels from which string went this day, and which nobody measured since."""
    unmeasured = {row.reel for row in report.reels if not row.measured and row.used_m + row.waste_m > ROUNDING_M}
    rows = reel_rows(session, event, with_withdrawn=False)
    own = [row.code for row in rows if row.owner_id is None and row.kind not in (LOOSE, *SETS)]
    return _item("reels", [code for code in own if code in unmeasured])


def _accounts(session: Session, event: Event) -> CheckItem:
    players = [(row.player_name, row.open_minor) for row in player_totals(session, event)]
    payers = [(row.name, row.open_minor) for row in payer_totals(session, event)]
    owing = [(name, minor) for name, minor in (*players, *payers) if minor > 0]
    return _item("accounts", [f"{name} {Money(minor, event.currency).display()}" for name, minor in owing])


def _machines(session: Session, event: Event, day: EventDay, at: datetime) -> Iterator[CheckItem]:
    rows = machine_rows(session, event, at, readings=1)
    yield _item("machines_out", [f"{row.name}: {row.out_reason}" for row in rows if row.out_since is not None])
    if event.calibration_required:
        begins = day_span(session, event, day.date, at).from_at or day.opens_at - timedelta(days=1)
        unread = [row.name for row in rows if row.calibrated_at is None or row.calibrated_at < begins]
        yield _item("uncalibrated", unread)
