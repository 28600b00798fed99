"""What each payer bears of the racquets of one visit: as charged, or by the rules as they stand until it is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Charge, Contact, Event
from desk.queries.counter.paper_card import expected_lines
from desk.queries.event.events import names_by_id
from desk.queries.money.charge_lines import Line
from desk.queries.money.pay_rules import PayersOf
from desk.queries.row_making import grouped, row_of

Part = tuple[int | None, Line]
"""A line with the contact that pays it; None: the player."""


@dataclass(kw_only=True)
class Shares:
    """The player's own lines by job, and what others pay in all, in minor units, by their names."""

    own: dict[int, list[Line]] = field(default_factory=lambda: defaultdict(list))
    others: dict[str, int] = field(default_factory=lambda: defaultdict(int))

    def own_minor(self, job_id: int) -> int:
        return sum(line.amount_minor for line in self.own[job_id])

    @property
    def all_own_minor(self) -> int:
        return sum(line.amount_minor for lines in self.own.values() for line in lines)


def visit_shares(session: Session, event: Event, player_id: int, job_ids: Sequence[int]) -> Shares:
    """Return who pays what for the racquets of a visit; JOB_IDS come in the order in which they count as the first."""
    charged, payers = _charged(session, job_ids), PayersOf(session, event, player_id)
    parts = {
        job_id: charged.get(job_id) or _by_rule(payers, expected_lines(session, event, job_id)) for job_id in job_ids
    }
    return _shares(session, event, parts)


def asked_shares(session: Session, event: Event, player_id: int, racquets: Sequence[Sequence[Line]]) -> Shares:
    """Return who will pay what for racquets that are not taken in yet, by their places in the visit."""
    payers = PayersOf(session, event, player_id)
    return _shares(session, event, {place: _by_rule(payers, lines) for place, lines in enumerate(racquets)})


def _by_rule(payers: PayersOf, lines: Sequence[Line]) -> list[Part]:
    """Give each line its payer, and count the racquet among the first of that payer."""
    parts = [(payers.of(line.kind), line) for line in lines]
    payers.count([payer_id for payer_id, _ in parts])
    return parts


def _shares(session: Session, event: Event, parts: Mapping[int, Sequence[Part]]) -> Shares:
    names = names_by_id(session, event, Contact)
    shares = Shares()
    for key, racquet in parts.items():
        for payer_id, line in racquet:
            if payer_id is None:
                shares.own[key].append(line)
            else:
                shares.others[names[payer_id]] += line.amount_minor
    return shares


def _charged(session: Session, job_ids: Sequence[int]) -> dict[int, list[Part]]:
    """Return what was charged, by job; a job whose charges were taken back is not there."""
    charges = session.scalars(select(Charge).where(Charge.job_id.in_(job_ids)).order_by(Charge.id))
    found = grouped((charge.job_id or 0, (charge.payer_id, row_of(Line, charge))) for charge in charges)
    return {job_id: lines for job_id, lines in found.items() if sum(line.amount_minor for _, line in lines)}
