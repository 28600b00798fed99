"""Those who stand for players: what kinds there are, and what each kind usually may do."""

from __future__ import annotations

from dataclasses import dataclass, fields


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
