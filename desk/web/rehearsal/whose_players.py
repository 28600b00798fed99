"""Whose players: the proposal, changed by hand with what it does, and kept."""

from __future__ import annotations

from collections.abc import Mapping

from flask import Blueprint, flash, request, url_for

from desk.errors import BadInput
from desk.queries.rehearsal.event_picture import picture_of
from desk.queries.rehearsal.expected_work import allotment_problem
from desk.queries.rehearsal.teams import teams_of
from desk.queries.rehearsal.whose_players import whose_players
from desk.services.rehearsal.allotting import keep_allotment
from desk.web import context
from desk.web.forms import DeskForm, saving, see, show
from solver.allotment import AllotmentProblem, allot

blueprint = Blueprint("whose_players", __name__)
SECONDS = 4.0


class WhoseForm(DeskForm):
    """Nothing but the buttons: the choices are read by player."""


@blueprint.get("/rehearsal/whose")
def page():
    problem = _problem()
    found = allot(problem, seconds=SECONDS)
    return _shown(problem, found.stringer_of, found.stringer_of, WhoseForm(formdata=None), gap=found.gap)


@blueprint.post("/rehearsal/whose")
def change():
    form, problem = WhoseForm(), _problem()
    was, chosen = (_sent(problem, prefix) for prefix in ("was-", "who-"))
    if form.validate_on_submit() and "keep" in request.form:
        with saving(form) as session:
            changed = keep_allotment(session, context.event_id(), chosen, acting=context.acting())
            flash(f"Kept for {changed} players: the plan goes by it, where nothing comes late by that.")
            return see(url_for("whose_players.page"))
    return _shown(problem, chosen, was, form)


def _problem() -> AllotmentProblem:
    session, event = context.reading(), context.current_event()
    team = teams_of(session, event, ())[0]
    return allotment_problem(session, event, picture_of(session, event), team)


def _sent(problem: AllotmentProblem, prefix: str) -> Mapping[str, str]:
    """The stringer sent for each player; one who is new since is given to the first."""
    names = {hand.id for hand in problem.hands}
    found = {player.id: request.form.get(f"{prefix}{player.id}", problem.hands[0].id) for player in problem.players}
    for stringer in found.values():
        if stringer not in names:
            raise BadInput(f"{stringer[:20]} is not in the team any more. Open the page again for a new proposal.")
    return found


def _shown(problem, chosen, was, form, gap: float | None = None):
    found = whose_players(context.reading(), context.current_event(), problem, chosen, was)
    return show("rehearsal/whose.html", form=form, found=found, was=was, gap=gap)
