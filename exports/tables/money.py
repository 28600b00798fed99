"""Tables of money: by day, by rate of tax, by payer, the invoices, and the list for the referee's office."""

from exports.report import UsageReport
from exports.rows import PrizeMoneyRow
from exports.sheet import Sheet
from exports.tables.columns import col, the_day


def money(report: UsageReport) -> Sheet:
    """What came and went each day, and what is open."""
    return Sheet(
        key="money",
        name="Money",
        note="Open brought forward + charged + paid back - received - written off = open carried forward. "
        "Received is whatever came in on the day, whichever charges it settled.",
        empty="There is no day.",
        columns=(
            the_day(),
            col("brought_forward_minor", "Open brought forward", "minor"),
            col("charged_minor", "Charged", "minor", total=True),
            col("tax_minor", "of it tax", "minor", total=True),
            col("cash_minor", "Received in cash", "minor", total=True),
            col("card_minor", "by card", "minor", total=True),
            col("transfer_minor", "by transfer", "minor", total=True),
            col("prize_money_minor", "from prize money", "minor", total=True),
            col("federation_minor", "from a federation", "minor", total=True),
            col("received_minor", "Received in all", "minor", total=True),
            col("refunded_minor", "Paid back", "minor", total=True),
            col("written_off_minor", "Written off", "minor", total=True),
            col("carried_forward_minor", "Open carried forward", "minor"),
        ),
        rows=report.money_by_day if _has_money(report) else (),
    )


def _has_money(report: UsageReport) -> bool:
    s = report.summary
    return any((s.brought_forward_minor, s.charged_minor, s.received_minor, s.carried_forward_minor))


def taxes(report: UsageReport) -> Sheet:
    """Net, tax and gross at each rate."""
    return Sheet(
        key="tax",
        name="Tax",
        note="What was charged, by the rate that held when it was charged. Each line is rounded once, half to even.",
        empty="Nothing was charged.",
        columns=(
            col("rate_pct", "Rate, %", "rate"),
            col("net_minor", "Net", "minor", total=True),
            col("tax_minor", "Tax", "minor", total=True),
            col("gross_minor", "Gross", "minor", total=True),
        ),
        rows=report.taxes,
    )


def charges(report: UsageReport) -> Sheet:
    """The account of each player, then of whoever else pays."""
    return Sheet(
        key="charges",
        name="Charges",
        note=f"Accounts by payer, in {report.currency}: players, then whoever pays for players. Below zero is owed "
        "to them. A racquet that two pay for counts with both.",
        empty="Nothing was charged.",
        columns=(
            col("payer", "Payer"),
            col("stands_as", "As"),
            col("racquets", "Racquets", "count"),
            col("brought_forward_minor", "Open before", "minor", total=True),
            col("labour_minor", "Stringing", "minor", total=True),
            col("string_minor", "String", "minor", total=True),
            col("other_minor", "Other", "minor", total=True),
            col("total_minor", "Charged", "minor", total=True),
            col("tax_minor", "of it tax", "minor", total=True),
            col("received_minor", "Received", "minor", total=True),
            col("refunded_minor", "Paid back", "minor", total=True),
            col("written_off_minor", "Written off", "minor", total=True),
            col(
                "carried_forward_minor",
                "Open after",
                "minor",
                total=True,
                alert=lambda row: row.carried_forward_minor != 0,
            ),
            col("note", "Note"),
        ),
        rows=report.charges,
    )


def invoices(report: UsageReport) -> Sheet:
    """The invoices made."""
    return Sheet(
        key="invoices",
        name="Invoices",
        note="Numbered without gaps over the event; one below zero corrects an earlier one.",
        empty="No invoice was made.",
        columns=(
            col("number", "Number"),
            col("made_at", "Made", "time"),
            col("player", "For"),
            col("payer", "Payer"),
            col("net_minor", "Net", "minor", total=True),
            col("tax_minor", "Tax", "minor", total=True),
            col("gross_minor", "To pay", "minor", total=True),
        ),
        rows=report.invoices,
    )


def prize_money(report: UsageReport) -> Sheet:
    """What the referee's office is to keep."""
    return Sheet(
        key="prize_money",
        name="For the referee",
        title=f"To keep from prize money: {report.title}",
        note="Over the whole event so far. Booked is agreed with the player; open is kept if it is not paid before.",
        empty="Nothing is to be kept from prize money.",
        columns=(
            col("player", "Player"),
            col("charged_minor", "Charged", "minor", total=True),
            col("otherwise_minor", "Settled otherwise", "minor", total=True),
            col("booked_minor", "Booked to prize money", "minor", total=True),
            col("open_minor", "Still open", "minor", total=True),
            col("keep_minor", "To keep", "minor", of=_to_keep, total=True),
            col("signed", "Signed", of=lambda row: "", filed=False),
        ),
        rows=report.prize_money,
    )


def _to_keep(row: PrizeMoneyRow) -> int:
    return row.booked_minor + row.open_minor
