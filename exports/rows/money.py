"""Rows of money; amounts are integer minor units of the currency beside them."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated


@dataclass(frozen=True, kw_only=True)
class MoneyRow:
    """The money of one day: open brought forward, charged, received, paid back, written off, open carried forward.

    Brought forward and charged and refunded, less received and written off, is carried forward; that is what the
    next day brings forward.
    """

    day: Annotated[date | None, "the day in the event's zone; None: after the last day was closed"]
    currency: Annotated[str, "ISO 4217 code; the same in every row"]
    brought_forward_minor: Annotated[int, "open when the day began; below zero is owed to players"]
    charged_minor: Annotated[int, "charged on the day, tax within, corrections with their sign"]
    tax_minor: Annotated[int, "of what was charged, tax"]
    cash_minor: Annotated[int, "received in cash, mistaken lines taken off"]
    card_minor: Annotated[int, "received by card, mistaken lines taken off"]
    transfer_minor: Annotated[int, "received by bank transfer, mistaken lines taken off"]
    prize_money_minor: Annotated[int, "booked to be kept from prize money"]
    federation_minor: Annotated[int, "received from, or booked to, a federation"]
    refunded_minor: Annotated[int, "paid back to players"]
    written_off_minor: Annotated[int, "owed and given up"]
    carried_forward_minor: Annotated[int, "open when the day ended; below zero is owed to players"]

    @property
    def received_minor(self) -> int:
        """Received in all, refunds not taken off."""
        by_hand = self.cash_minor + self.card_minor + self.transfer_minor
        return by_hand + self.prize_money_minor + self.federation_minor


@dataclass(frozen=True, kw_only=True)
class TaxRow:
    """What was charged at one rate of tax; net and tax make gross."""

    rate_pct: Annotated[float, "rate of the tax within the prices"]
    currency: Annotated[str, "ISO 4217 code; the same in every row"]
    net_minor: Annotated[int, "without the tax; rounded half to even, once a line"]
    tax_minor: Annotated[int, "the tax"]
    gross_minor: Annotated[int, "as charged"]


@dataclass(frozen=True, kw_only=True)
class ChargeRow:
    """The account of one payer over the report: a player, or whoever pays for players."""

    payer: Annotated[str, "name of the player, or of whoever pays for players"]
    stands_as: Annotated[str, "player, or what kind of payer it is: federation, tournament, prize money and so on"]
    racquets: Annotated[int, "racquets of which something is charged here; one with two payers counts for both"]
    currency: Annotated[str, "ISO 4217 code; the same in every row"]
    brought_forward_minor: Annotated[int, "open when the report begins; below zero is owed to the payer"]
    labour_minor: Annotated[int, "stringing"]
    string_minor: Annotated[int, "the desk's string"]
    other_minor: Annotated[int, "grommets, grips, on-court surcharge and the like"]
    tax_minor: Annotated[int, "of what was charged, tax"]
    received_minor: Annotated[int, "received, whichever charges it settled"]
    refunded_minor: Annotated[int, "paid back"]
    written_off_minor: Annotated[int, "owed and given up"]
    carried_forward_minor: Annotated[int, "open when the report ends; below zero is owed to the payer"]
    note: Annotated[str, "by which way it was received"] = ""

    @property
    def total_minor(self) -> int:
        """Labour, string and other together."""
        return self.labour_minor + self.string_minor + self.other_minor


@dataclass(frozen=True, kw_only=True)
class InvoiceRow:
    """One invoice; numbers have no gaps."""

    number: Annotated[str, "number as it stands on the paper"]
    made_at: Annotated[datetime, "when it was made"]
    player: Annotated[str, "whose racquets; for a payer of several players the payer"]
    payer: Annotated[str, "who pays, as on the paper"]
    currency: Annotated[str, "ISO 4217 code; the same in every row"]
    net_minor: Annotated[int, "without the tax"]
    tax_minor: Annotated[int, "the tax"]
    gross_minor: Annotated[int, "to pay; below zero corrects an earlier invoice"]


@dataclass(frozen=True, kw_only=True)
class PrizeMoneyRow:
    """What the referee's office is to keep from one player's prize money."""

    player: Annotated[str, "name"]
    currency: Annotated[str, "ISO 4217 code; the same in every row"]
    charged_minor: Annotated[int, "charged from the beginning of the event, without what others pay"]
    otherwise_minor: Annotated[int, "settled otherwise: received in any other way or written off, refunds taken off"]
    booked_minor: Annotated[int, "booked to prize money, as agreed with the player"]
    open_minor: Annotated[int, "still open; kept only if the player does not pay otherwise"]
