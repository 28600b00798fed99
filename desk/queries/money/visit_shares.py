"""What each payer bears of the racquets of one visit: as charged, or by the rules as they stand until it is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Charge, Contact, Event
from desk.queries.counter.paper_card import expected_lines
from desk.queries.money.charge_lines import Line
from desk.queries.money.pay_rules import PayersOf


@dataclass(kw_only=True)
class Shares:
    """The player's own lines by job, and what others pay in all, in minor units, by their names."""

    own: dict[int, list[Line]] = field(default_factory=lambda: defaultdict(list))
    others: dict[str, int] = field(default_factory=lambda: defaultdict(int))

    def own_minor(self, job_id: int) -> int:
        return sum(line.amount_minor for line in self.own[job_id])


def visit_shares(session: Session, event: Event, player_id: int, job_ids: Sequence[int]) -> Shares:
    """Return who pays what for the racquets of a visit; JOB_IDS come in the order in which they count as the first."""
    names = dict(session.execute(select(Contact.id, Contact.name).where(Contact.event_id == event.id)).all())
    charged = _charged(session, job_ids)
    payers, shares = PayersOf(session, event, player_id, job_ids), Shares()
    for job_id in job_ids:
        lines = charged.get(job_id)
        if lines is None:
            lines = [(payers.of(line.kind), line) for line in expected_lines(session, event, job_id)]
        payers.count([payer_id for payer_id, _ in lines])
        for payer_id, line in lines:
            if payer_id is None:
                shares.own[job_id].append(line)
            else:
                shares.others[names[payer_id]] += line.amount_minor
    return shares


def _charged(session: Session, job_ids: Sequence[int]) -> dict[int, list[tuple[int | None, Line]]]:
    found: dict[int, list[tuple[int | None, Line]]] = defaultdict(list)
    for charge in session.scalars(select(Charge).where(Charge.job_id.in_(job_ids)).order_by(Charge.id)):
        same = {name: getattr(charge, name) for name in ("kind", "text", "amount_minor", "tax_basis_points")}
        found[charge.job_id or 0].append((charge.payer_id, Line(**same)))
    return {job_id: lines for job_id, lines in found.items() if sum(line.amount_minor for _, line in lines)}
