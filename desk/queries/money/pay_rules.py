"""Rules who pays: what the federation, the tournament or another contact pays of each racquet."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Charge, Contact, ContactPlayer, Event, PayRule, Player
from desk.trade.contacts import COVERS, PAY_FOR_ALL


@dataclass(frozen=True, kw_only=True)
class PayRuleRow:
    """One rule as it is read: who pays what, for whom, for how many racquets of each player."""

    rule_id: int
    payer_id: int
    payer: str
    player: str
    covers: tuple[str, ...]
    first_racquets: int | None

    @property
    def what(self) -> str:
        """What is paid, in words: everything, or one after the other."""
        if len(self.covers) == len(COVERS):
            return "everything"
        return ", ".join(word for kind, word in COVERS.items() if kind in self.covers)


def pay_rule_rows(session: Session, event: Event) -> list[PayRuleRow]:
    """Return the rules in the order in which they are asked; those of ended contacts are left out."""
    found = (
        select(PayRule, Contact.name, Player.called)
        .join(Contact, Contact.id == PayRule.payer_id)
        .outerjoin(Player, Player.id == PayRule.player_id)
        .where(PayRule.event_id == event.id, Contact.ended_at.is_(None))
        .order_by(PayRule.id)
    )
    return [
        PayRuleRow(
            rule_id=rule.id,
            payer_id=rule.payer_id,
            payer=payer,
            player=player or "",
            covers=tuple(rule.covers.split(",")),
            first_racquets=rule.first_racquets,
        )
        for rule, payer, player in session.execute(found)
    ]


class PayersOf:
    """Who pays for the next racquet of a player, one that is not charged yet."""

    def __init__(self, session: Session, event: Event, player_id: int) -> None:
        self._session, self._event, self._player_id = session, event, player_id

    def of(self, kind: str) -> int | None:
        """Return the contact that pays a charge of this kind by the first rule that fits; None: the player."""
        fitting = (rule for rule in self._rules if self._is_within(rule) and kind in rule.covers.split(","))
        return next((rule.payer_id for rule in fitting), None)

    def count(self, payer_ids: Collection[int | None]) -> None:
        """Count a racquet for these payers, so that what follows is a further one."""
        for payer_id in {one for one in payer_ids if one is not None}:
            self._paid_racquets[payer_id] = self._paid_racquets.get(payer_id, 0) + 1

    @cached_property
    def _rules(self) -> list[PayRule]:
        pays = select(ContactPlayer.contact_id).where(
            ContactPlayer.player_id == self._player_id, ContactPlayer.may_pay.is_(True)
        )
        found = (
            select(PayRule)
            .join(Contact, Contact.id == PayRule.payer_id)
            .where(
                PayRule.event_id == self._event.id,
                Contact.ended_at.is_(None),
                Contact.kind.in_(PAY_FOR_ALL) | Contact.id.in_(pays),
                PayRule.player_id.is_(None) | (PayRule.player_id == self._player_id),
            )
            .order_by(PayRule.id)
        )
        return list(self._session.scalars(found))

    def _is_within(self, rule: PayRule) -> bool:
        return rule.first_racquets is None or self._paid_racquets.get(rule.payer_id, 0) < rule.first_racquets

    @cached_property
    def _paid_racquets(self) -> dict[int, int]:
        """How many racquets of the player each payer paid something of; those taken back are none."""
        each = (
            select(Charge.payer_id, Charge.job_id)
            .where(Charge.player_id == self._player_id, Charge.payer_id.is_not(None), Charge.job_id.is_not(None))
            .group_by(Charge.payer_id, Charge.job_id)
            .having(func.sum(Charge.amount_minor) != 0)
        )
        racquets = each.subquery()
        counted = select(racquets.c.payer_id, func.count()).group_by(racquets.c.payer_id)
        return dict(self._session.execute(counted).all())
