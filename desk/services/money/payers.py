"""Who pays: by rule for what is strung from now on, and by hand for what was charged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from itertools import groupby

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Charge, Contact, ContactPlayer, Event, InvoiceLine, PayRule, Player
from desk.queries.finding import find_of
from desk.queries.money.pay_rules import PayersOf
from desk.services.acting import Acting, lock_and_find, lock_event, log_change
from desk.services.form_values import refuse
from desk.services.money.charges import correction, first_charge, further, standing
from desk.services.players.contacts import ContactForm, add_contact, present_contact
from desk.trade.contacts import COVERS, MOST_RACQUETS, PAY_FOR_ALL
from desk.trade.event.money import Money

_log = partial(log_change, subject="charges", plan=False)

OFFICES = {"tournament": "Tournament", "prize_money": "Prize money"}
"""What a payer for all is called until somebody names it otherwise."""


@dataclass(frozen=True, kw_only=True)
class PayRuleForm:
    """A rule: the payer pays what is in `covers` of each racquet, of one player or of all that it pays for."""

    payer_id: int
    covers: Sequence[str]
    player_id: int | None = None
    first_racquets: int | None = None
    also_before: bool = False


def add_pay_rule(session: Session, event_id: int, form: PayRuleForm, *, acting: Acting) -> PayRule:
    """Add a rule behind the others; what was charged before stays where it is, unless it is to hold for that too."""
    event = lock_event(session, event_id)
    payer = present_contact(session, event, form.payer_id)
    player = None if form.player_id is None else find_of(session, event, Player, form.player_id, "player")
    faults = {}
    if not form.covers or not set(form.covers) <= set(COVERS):
        faults["covers"] = "choose what is paid"
    if form.first_racquets is not None and not 1 <= form.first_racquets <= MOST_RACQUETS:
        faults["first_racquets"] = f"1 to {MOST_RACQUETS}, or nothing for every racquet"
    refuse(faults, "This rule cannot be kept")
    if player is not None:
        _require_pays_for(session, payer, player)
    elif payer.kind not in PAY_FOR_ALL and not any(link.may_pay for link in payer.players):
        raise Conflict(f"{payer.name} pays for no player yet; say first for whom, on the page of {payer.name}.")
    rule = PayRule(
        event_id=event.id,
        payer_id=payer.id,
        player_id=None if player is None else player.id,
        covers=",".join(kind for kind in COVERS if kind in form.covers),
        first_racquets=form.first_racquets,
    )
    session.add(rule)
    whom = f" of {player.called}" if player else ""
    _log(session, event, acting, f"Rule added: {payer.name} pays {rule.covers.replace(',', ', ')}{whom}")
    before = _charged_before(session, event, rule) if form.also_before else []
    if before:
        let_pay(session, event.id, before, payer.id, acting=acting)
    return rule


def _charged_before(session: Session, event: Event, rule: PayRule) -> list[int]:
    """Return the players' charges of racquets that the rule names and that stand on no invoice."""
    found = (
        select(Charge)
        .outerjoin(InvoiceLine, InvoiceLine.charge_id == Charge.id)
        .where(Charge.event_id == event.id, Charge.payer_id.is_(None), Charge.corrects_id.is_(None))
        .where(Charge.job_id.is_not(None), InvoiceLine.id.is_(None))
        .order_by(Charge.player_id, Charge.job_id, Charge.id)
    )
    moved: list[int] = []
    for player_id, charges in groupby(session.scalars(found).all(), key=lambda charge: charge.player_id):
        payers = PayersOf(session, event, player_id)
        for _, of_job in groupby(charges, key=lambda charge: charge.job_id):
            named = [one.id for one in of_job if payers.of(one.kind) == rule.payer_id and standing(session, one)[0]]
            payers.count([rule.payer_id] if named else [])
            moved += named
    return moved


def remove_pay_rule(session: Session, event_id: int, rule_id: int, *, acting: Acting) -> None:
    """Take a rule away; what was charged by it stays where it is."""
    event, rule = lock_and_find(session, event_id, PayRule, rule_id, "rule")
    _log(session, event, acting, f"Rule removed: {rule.payer.name} pays {rule.covers.replace(',', ', ')}")
    session.delete(rule)
    session.flush()


def office(session: Session, event_id: int, kind: str, *, acting: Acting) -> Contact:
    """Return the payer for all of this kind, made when it is first needed."""
    event = lock_event(session, event_id)
    if kind not in OFFICES:
        raise BadInput("Only the tournament and the prize money pay for all.", fields={"payer": "choose who pays"})
    there = select(Contact).where(Contact.event_id == event.id, Contact.kind == kind, Contact.ended_at.is_(None))
    form = ContactForm(name=OFFICES[kind], kind=kind)
    return session.scalar(there.order_by(Contact.id)) or add_contact(session, event.id, form, acting=acting)


def let_pay(
    session: Session, event_id: int, charge_ids: Sequence[int], payer_id: int | None, *, acting: Acting
) -> list[Charge]:
    """Put charges on another account: each is taken back where it stands and written anew there.

    Refused when a contact may not pay for the player, a charge came to nothing, or it stands on that account already.

    Parameters
    ----------
    payer_id : int or None
        The contact that pays from now on; None for each charge's player.
    """
    event = lock_event(session, event_id)
    if not charge_ids:
        raise BadInput("Choose at least one charge.", fields={"charges": "choose at least one"})
    payer = None if payer_id is None else present_contact(session, event, payer_id)
    chosen = {charge.id: charge for charge in (first_charge(session, event, one) for one in charge_ids)}
    written = [_move(session, charge, payer, acting) for charge in chosen.values()]
    total = Money(sum(charge.amount_minor for charge in written), event.currency).display()
    players = sorted({session.get_one(Player, charge.player_id).called for charge in written})
    whose = "the player" if payer is None else payer.name
    _log(session, event, acting, f"{total} of {', '.join(players)} is paid by {whose}")
    return written


def _move(session: Session, charge: Charge, payer: Contact | None, acting: Acting) -> Charge:
    amount, tax = standing(session, charge)
    player = session.get_one(Player, charge.player_id)
    name = player.called if payer is None else payer.name
    if amount == 0:
        raise Conflict(f"'{charge.text}' came to nothing; there is nothing for {name} to pay.")
    if charge.payer_id == (None if payer is None else payer.id):
        raise Conflict(f"'{charge.text}' stands on the account of {name} already.")
    if payer is not None:
        _require_pays_for(session, payer, player)
    correction(session, charge, (-amount, -tax), f"Paid by {name}: {charge.text}", acting)
    payer_id = None if payer is None else payer.id
    return further(session, charge, acting, payer_id=payer_id, amount_minor=amount, tax_minor=tax)


def _require_pays_for(session: Session, payer: Contact, player: Player) -> None:
    link = select(ContactPlayer.id).where(
        ContactPlayer.contact_id == payer.id, ContactPlayer.player_id == player.id, ContactPlayer.may_pay.is_(True)
    )
    if payer.kind not in PAY_FOR_ALL and session.scalar(link) is None:
        raise BadInput(
            f"{payer.name} does not pay for {player.called}. Say so first on the page of {payer.name}.",
            fields={"payer": "may not pay for this player"},
        )
