"""Who pays: every payer's balance, and the rules by which a charge goes to one of them."""

from __future__ import annotations

from flask import Blueprint, flash, url_for
from werkzeug.wrappers import Response
from wtforms import BooleanField, IntegerField, RadioField, SelectMultipleField
from wtforms.validators import InputRequired, Optional
from wtforms.widgets import CheckboxInput, ListWidget

from desk.queries.money.pay_rules import pay_rule_rows
from desk.queries.money.payer_totals import payer_choices, payer_totals
from desk.services.money import payers
from desk.trade.contacts import COVERS, KINDS
from desk.web import context
from desk.web.forms import DeskForm, options, row_number, saving, see, show

blueprint = Blueprint("payers", __name__)


class RuleFields(DeskForm):
    payer = RadioField("Who pays", validators=[InputRequired("choose who pays")])
    covers = SelectMultipleField(
        "What", widget=ListWidget(prefix_label=False), option_widget=CheckboxInput(), choices=options(COVERS.items())
    )
    first_racquets = IntegerField("Only the first so many racquets of each player", [Optional()])
    also_before = BooleanField("Also what was charged before and stands on no invoice")


def _form(**given) -> RuleFields:
    form = RuleFields(**given)
    found = payer_choices(context.reading(), context.current_event(), None)
    kinds = {kind for _, _, kind in found}
    offices = [(kind, name) for kind, name in payers.OFFICES.items() if kind not in kinds]
    form.payer.choices = options([*((str(number), name) for number, name, _ in found), *offices])
    return form


def _page(form: RuleFields):
    session, event = context.reading(), context.current_event()
    rows, rules = payer_totals(session, event), pay_rule_rows(session, event)
    return show("money/payers.html", rows=rows, rules=rules, form=form, kinds=KINDS)


@blueprint.get("/payers")
def page():
    return _page(_form(formdata=None))


@blueprint.post("/payers/rules")
def add_rule():
    form = _form()
    if form.validate_on_submit():
        with saving(form, "The rule holds.") as session:
            at, acting, payer_id = context.event_id(), context.acting(), row_number(form.payer.data)
            if form.payer.data in payers.OFFICES:
                payer_id = payers.office(session, at, form.payer.data, acting=acting).id
            what = {"covers": form.covers.data or (), "first_racquets": form.first_racquets.data}
            what["also_before"] = form.also_before.data
            payers.add_pay_rule(session, at, payers.PayRuleForm(payer_id=payer_id or 0, **what), acting=acting)
            return see(url_for("payers.page"))
    return _page(form)


@blueprint.post("/payers/rules/<int:rule_id>/remove")
def remove_rule(rule_id: int) -> Response:
    with context.writing() as session:
        payers.remove_pay_rule(session, context.event_id(), rule_id, acting=context.acting())
    flash("The rule is gone; what was charged by it stays where it is.")
    return see(url_for("payers.page"))
