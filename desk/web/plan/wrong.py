"""What is wrong with the plan, what was tried that mends it, and which racquet of a player matters."""

from __future__ import annotations

from datetime import datetime

from flask import flash, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import HiddenField, IntegerField
from wtforms.validators import InputRequired, Optional

from desk.errors import BadInput
from desk.models import Job
from desk.queries.play.said_racquets import said_racquets
from desk.services.machines import machines
from desk.services.play import what_matters
from desk.services.promise import promises, telling
from desk.web import access, context
from desk.web.display import day_hhmm
from desk.web.forms import DeskForm, row_numbers, saving, see, show
from desk.web.fragments import answer
from desk.web.plan.trials import Trial, trial_of_plan
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
        return row_numbers(self[name].data)


@blueprint.get("/plan/wrong")
def wrong():
    """Name at once what is wrong, and why; what would help follows as it is found, or is waited for where asked."""
    session, event = context.reading(), context.current_event()
    trial = trial_of_plan()
    if "tried" in request.args:
        trial.wait()
    return show("plan/wrong.html", said=said_racquets(session, event), **_shown(trial))


def _shown(trial: Trial) -> dict[str, object]:
    return {"wrong": trial.shown, "trying": not trial.done}


@blueprint.get("/plan/wrong/tried")
def tried():
    trial = trial_of_plan()
    return answer(lambda: render_template("plan/_wrong.html", **_shown(trial)), *trial.step, moves=False)


@blueprint.post("/plan/mend")
def mend() -> Response:
    form = MendForm()
    if form.validate_on_submit():
        with saving(form) as session:
            done = _mend(session, form)
            flash(f"{done} A new plan is being made.")
    if form.trouble:
        flash(form.trouble)
    return see(url_for("plan.wrong"))


def _mend(session, form: MendForm) -> str:
    """Carry the remedy out and say what was done, with name and time."""
    acting, event_id, subject = context.acting(), context.event_id(), form.subject_id.data
    if form.kind.data == "machine":
        return f"{machines.put_back_in_service(session, event_id, subject, acting=acting).name} is back in service."
    if form.kind.data == "own_promise":
        told = telling.tell_later(session, event_id, subject, acting=acting)
    elif form.kind.data == "promise":
        to_at = datetime.fromisoformat(form.to_at.data)
        told = promises.renew_promise(
            session, event_id, subject, acting=acting, ready_at=to_at, reason="another racquet is urgent"
        )
    else:
        raise BadInput("This cannot be done here; the team's page can do it.")
    job = session.get_one(Job, subject)
    who = f"{job.player.called}, racquet {job.racquet.number}"
    return f"Promised anew: {who}, ready by {day_hhmm(told.ready_at)}. Tell the player."


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
