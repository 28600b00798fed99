"""Those who stand for players: what kinds there are, and what each kind usually may do."""

from __future__ import annotations

import re
from dataclasses import dataclass, fields

from desk.trade.addresses import LONGEST_MAIL


@dataclass(frozen=True, kw_only=True)
class Leave:
    """What a contact may do for one player, and whether it sees that player's prices."""

    may_drop_off: bool = False
    may_collect: bool = False
    is_told: bool = False
    may_pay: bool = False
    sees_prices: bool = False

    @property
    def given(self) -> tuple[str, ...]:
        """What is allowed, by name."""
        return tuple(name for name in LEAVES if getattr(self, name))

    @property
    def said(self) -> str:
        """What is allowed, in words."""
        return ", ".join(LEAVE_WORDS[name] for name in self.given) or "is named only"


LEAVES = tuple(field.name for field in fields(Leave))
LEAVE_WORDS = {
    "may_drop_off": "drops off",
    "may_collect": "collects",
    "is_told": "is told",
    "may_pay": "pays",
    "sees_prices": "sees prices",
}

TELEPHONE = re.compile(r"\+?[\d\s()/.-]{3,40}")
E_MAIL = re.compile(r"[^@\s,;<>]+@[^@\s,;<>]+\.[^@\s,;<>]+")


def phone_fault(text: str) -> str:
    """Return what is wrong with a telephone number; nothing for a sound one and for none."""
    return "" if not text or TELEPHONE.fullmatch(text) else "digits, blanks and + only, such as +44 20 7946 0000"


def email_fault(text: str) -> str:
    """Return what is wrong with an e-mail address; nothing for a sound one and for none."""
    sound = not text or (len(text) <= LONGEST_MAIL and E_MAIL.fullmatch(text))
    return "" if sound else "one address such as name@example.org"


KINDS = {
    "coach": "coach",
    "agent": "agent",
    "federation": "federation",
    "partner": "doubles partner",
    "family": "family",
    "tournament": "tournament",
    "prize_money": "prize money",
    "other": "other",
}
"""Every kind of contact, as a person says it; the last but one pays from what the players win."""

LANGUAGES = {"en": "English", "es": "Español", "fr": "Français", "de": "Deutsch", "it": "Italiano"}
"""The languages in which players and contacts are spoken to."""

PAY_FOR_ALL = ("tournament", "prize_money")
"""Kinds that pay for any player; there is one contact of each, and neither has a page."""

USUAL = {
    "coach": Leave(may_drop_off=True, may_collect=True, is_told=True),
    "agent": Leave(is_told=True, may_pay=True, sees_prices=True),
    "federation": Leave(may_pay=True, sees_prices=True),
    "partner": Leave(may_drop_off=True, may_collect=True),
    "family": Leave(may_drop_off=True, may_collect=True, is_told=True),
    "tournament": Leave(may_pay=True, sees_prices=True),
    "prize_money": Leave(may_pay=True, sees_prices=True),
    "other": Leave(),
}
"""What a contact of each kind may do unless the desk says otherwise (CP)."""

COVERS = {
    "labour": "stringing",
    "string": "string",
    "on_court": "on-court surcharge",
    "extra_work": "grommets and grips",
    "stencil": "stencil",
}
"""What a rule who pays may cover, by the kinds of the price list, with their words."""

MOST_RACQUETS = 99
"""How many racquets of each player a rule may cover at most."""
