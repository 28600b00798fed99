"""The list for the referee's office: what each player was charged, how it was settled, and what is open."""

from __future__ import annotations

from flask import Blueprint, Response

from desk.queries.money.player_totals import PlayerTotal, player_totals
from desk.web import context, display
from desk.web.forms import show
from desk.web.table_files import csv_file

blueprint = Blueprint("referee", __name__)
AMOUNTS = {
    "charged_minor": "charged",
    "cash_minor": "cash",
    "card_minor": "card",
    "transfer_minor": "transfer",
    "prize_money_minor": "prize money",
    "federation_minor": "federation",
    "refunded_minor": "paid back",
    "written_off_minor": "written off",
    "open_minor": "open",
}


@blueprint.get("/players/charges")
def page():
    rows = player_totals(context.reading(), context.current_event())
    sums = {name: sum(getattr(row, name) for row in rows) for name in AMOUNTS}
    shown = [name for name in AMOUNTS if sums[name] or name in ("charged_minor", "prize_money_minor", "open_minor")]
    return show("money/referee.html", rows=rows, sums=sums, amounts={name: AMOUNTS[name] for name in shown})


@blueprint.get("/players/charges.csv")
def file() -> Response:
    head = ("player", "code", "racquets", *AMOUNTS.values(), "currency")
    rows = player_totals(context.reading(), context.current_event())
    return csv_file("charges-by-player", [head, *(_cells(row) for row in rows)])


def _cells(row: PlayerTotal) -> tuple[str, ...]:
    amounts = (display.amount(getattr(row, name), row.currency).replace(",", "") for name in AMOUNTS)
    return row.player_name, row.player_code, str(row.racquets), *amounts, row.currency
