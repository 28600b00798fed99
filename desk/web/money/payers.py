"""Who pays: every payer's balance, and the rules by which a charge goes to one of them."""

from __future__ import annotations

from flask import Blueprint, flash, url_for
from werkzeug.wrappers import Response
from wtforms import BooleanField, IntegerField, RadioField
from wtforms.validators import InputRequired, Optional

from desk.queries.money.pay_rules import pay_rule_rows
from desk.queries.money.payer_totals import payer_totals
from desk.services.money import payers
from desk.trade.contacts import COVERS, KINDS
from desk.web import context
from desk.web.forms import DeskForm, TicksField, options, saving, see, show
from desk.web.money.account_forms import payer_chosen, payers_to_choose

blueprint = Blueprint("payers", __name__)


class RuleFields(DeskForm):
    payer = RadioField("Who pays", validators=[InputRequired("choose who pays")])
    covers = TicksField("What", choices=options(COVERS.items()))
    first_racquets = IntegerField("Only the first so many racquets of each player", [Optional()])
    also_before = BooleanField("Also what was charged before and stands on no invoice")


def _form(**given) -> RuleFields:
    form = RuleFields(**given)
    form.payer.choices = options(payers_to_choose())
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
            payer_id = payer_chosen(session, form.payer.data) or 0
            asked = form.asked(payers.PayRuleForm, payer_id=payer_id, covers=form.covers.data or ())
            payers.add_pay_rule(session, context.event_id(), asked, acting=context.acting())
            return see(url_for("payers.page"))
    return _page(form)


@blueprint.post("/payers/rules/<int:rule_id>/remove")
def remove_rule(rule_id: int) -> Response:
    context.do(payers.remove_pay_rule, rule_id)
    flash("The rule is gone; what was charged by it stays where it is.")
    return see(url_for("payers.page"))
