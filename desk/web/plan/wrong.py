"""What is wrong with the plan, what was tried that mends it, and which racquet of a player matters."""

from __future__ import annotations

from datetime import datetime

from flask import flash, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import HiddenField, IntegerField
from wtforms.validators import InputRequired, Optional

from desk.errors import BadInput
from desk.queries.plan import mending
from desk.queries.plan.plan_board import plan_board
from desk.queries.play.said_racquets import said_racquets
from desk.services.machines import machines
from desk.services.play import what_matters
from desk.services.promise import promises
from desk.web import access, context
from desk.web.forms import DeskForm, row_number, saving, see, show
from desk.web.fragments import fragment
from desk.web.plan.what_if import blueprint

SHARED = ("one_each", "later", "ask")
"""Remedies that share what time there is between a player's racquets."""


class MendForm(DeskForm):
    kind = HiddenField(validators=[InputRequired()])
    subject_id = IntegerField(validators=[Optional()])
    to_at = HiddenField()


class SayForm(DeskForm):
    first = HiddenField()
    later = HiddenField()
    back = HiddenField()
    next = HiddenField()

    def ids(self, name: str) -> list[int]:
        return [number for part in (self[name].data or "").split(",") if (number := row_number(part)) is not None]


@blueprint.get("/plan/wrong")
def wrong():
    """Name at once what is wrong. Finding what would mend it takes planning, so that part follows later."""
    session, event = context.reading(), context.current_event()
    board = plan_board(session, event, context.event_time())
    tried_now = _tried() if "tried" in request.args else None
    return show("plan/wrong.html", board=board, wrong=tried_now, said=said_racquets(session, event))


def _tried() -> list[mending.Wrong]:
    return mending.what_is_wrong(context.reading(), context.event_id(), at=context.event_time())


@blueprint.get("/plan/wrong/tried")
@fragment(moves=False)
def tried() -> str:
    return render_template("plan/_wrong.html", wrong=_tried())


@blueprint.post("/plan/mend")
def mend() -> Response:
    form = MendForm()
    if form.validate_on_submit():
        with saving(form, "Done. A new plan is being made.") as session:
            _mend(session, form)
    if form.trouble:
        flash(form.trouble)
    return see(url_for("plan.wrong"))


def _mend(session, form: MendForm) -> None:
    acting, event_id = context.acting(), context.event_id()
    if form.kind.data == "machine":
        machines.put_back_in_service(session, event_id, form.subject_id.data, acting=acting)
    elif form.kind.data == "own_promise":
        promises.renew_promise(session, event_id, form.subject_id.data, acting=acting, reason="the desk fell behind")
    elif form.kind.data == "promise":
        to_at = datetime.fromisoformat(form.to_at.data)
        promises.renew_promise(
            session, event_id, form.subject_id.data, acting=acting, ready_at=to_at, reason="another racquet is urgent"
        )
    else:
        raise BadInput("This cannot be done here; the team's page can do it.")


@blueprint.post("/plan/said")
def say() -> Response:
    """Keep which racquet matters and which follow to the court, or take it back."""
    form = SayForm()
    if form.validate_on_submit():
        with saving(form, "Done. A new plan is being made; it can be taken back where you were.") as session:
            _say(session, form)
    if form.trouble:
        flash(form.trouble)
    return see(access.safe_way_back(form.next.data, url_for("plan.wrong")))


def _say(session, form: SayForm) -> None:
    acting, event_id = context.acting(), context.event_id()
    first, later, back = (form.ids(name) for name in ("first", "later", "back"))
    if not (first or later or back):
        raise BadInput("Say which racquet.")
    for job_id in first:
        what_matters.matters_most(session, event_id, job_id, acting=acting)
    what_matters.follow_to_the_court(session, event_id, later, acting=acting)
    what_matters.take_back(session, event_id, back, acting=acting)
