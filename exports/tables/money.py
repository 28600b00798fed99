"""Tables of money: by day, by rate of tax, by payer, the invoices, and the list for the referee's office."""

from exports.report import UsageReport
from exports.sheet import Sheet
from exports.tables.columns import col, cols, the_day


def money(report: UsageReport) -> Sheet:
    """What came and went each day, and what is open."""
    s = report.summary
    moved = any((s.brought_forward_minor, s.charged_minor, s.received_minor, s.carried_forward_minor))
    return Sheet(
        key="money",
        name="Money",
        note="Open brought forward + charged + paid back - received - written off = open carried forward. "
        "Received is whatever came in on the day, whichever charges it settled.",
        empty="There is no day.",
        columns=(
            the_day(),
            col("brought_forward_minor", "Open brought forward", "minor"),
            *cols("minor", total=True, charged_minor="Charged", tax_minor="of it tax", cash_minor="Received in cash"),
            *cols("minor", total=True, card_minor="by card", transfer_minor="by transfer"),
            *cols("minor", total=True, prize_money_minor="from prize money", federation_minor="from a federation"),
            *cols("minor", total=True, received_minor="Received in all", refunded_minor="Paid back"),
            col("written_off_minor", "Written off", "minor", total=True),
            col("carried_forward_minor", "Open carried forward", "minor"),
        ),
        rows=report.money_by_day if moved else (),
    )


def taxes(report: UsageReport) -> Sheet:
    """Net, tax and gross at each rate."""
    return Sheet(
        key="tax",
        name="Tax",
        note="What was charged, by the rate that held when it was charged. Each line is rounded once, half to even.",
        empty="Nothing was charged.",
        columns=(
            col("rate_pct", "Rate, %", "rate"),
            *cols("minor", total=True, net_minor="Net", tax_minor="Tax", gross_minor="Gross"),
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
            *cols("text", payer="Payer", stands_as="As"),
            col("racquets", "Racquets", "count"),
            col("brought_forward_minor", "Open before", "minor", total=True),
            *cols("minor", total=True, labour_minor="Stringing", string_minor="String", other_minor="Other"),
            col("total_minor", "Charged", "minor", total=True),
            *cols("minor", total=True, tax_minor="of it tax", received_minor="Received", refunded_minor="Paid back"),
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


INVOICES = Sheet(
    key="invoices",
    name="Invoices",
    note="Numbered without gaps over the event; one below zero corrects an earlier one.",
    empty="No invoice was made.",
    columns=(
        col("number", "Number"),
        col("made_at", "Made", "time"),
        *cols("text", player="For", payer="Payer"),
        *cols("minor", total=True, net_minor="Net", tax_minor="Tax", gross_minor="To pay"),
    ),
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
            *cols("minor", total=True, charged_minor="Charged", otherwise_minor="Settled otherwise"),
            *cols("minor", total=True, booked_minor="Booked to prize money", open_minor="Still open"),
            col("keep_minor", "To keep", "minor", of=lambda row: row.booked_minor + row.open_minor, total=True),
            col("signed", "Signed", of=lambda row: "", filed=False),
        ),
        rows=report.prize_money,
    )
