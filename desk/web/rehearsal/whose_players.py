"""Whose players: the proposal, changed by hand with what it does, and kept."""

from __future__ import annotations

from collections.abc import Mapping

from flask import Blueprint, flash, request, url_for
from wtforms import SelectField

from desk.errors import BadInput
from desk.queries.rehearsal.event_picture import picture_of
from desk.queries.rehearsal.expected_work import allotment_problem
from desk.queries.rehearsal.teams import teams_of
from desk.queries.rehearsal.whose_players import names_of, whose_players
from desk.services.rehearsal.allotting import keep_allotment
from desk.services.rehearsal.wishes import add_wish, remove_wish
from desk.trade.rehearsed.wish_kinds import KINDS
from desk.web import context
from desk.web.forms import DeskForm, options, saving, see, show
from solver.allotment import AllotmentProblem, allot, in_turn

blueprint = Blueprint("whose_players", __name__)
SECONDS = 4.0


class WhoseForm(DeskForm):
    """Nothing but the buttons: the choices are read by player."""


class WishForm(DeskForm):
    """A wish: a player, with or not with, and a stringer or another player by the letter before the number."""

    player = SelectField("Player", coerce=int)
    kind = SelectField("Wish", choices=options(KINDS.items()))
    whom = SelectField("Stringer, or the stringer of another player")

    def choose_from(self) -> None:
        """Fill the choices from the event."""
        players, stringers = names_of(context.reading(), context.current_event())
        self.player.choices = options(players)
        self.whom.choices = options(
            [*((f"s{n}", name) for n, name in stringers), *((f"p{n}", f"as {name}") for n, name in players)]
        )

    @property
    def named(self) -> dict[str, int | None]:
        """The stringer or the other player."""
        number = int(self.whom.data[1:])
        of_stringer = self.whom.data.startswith("s")
        return {"stringer_id": number if of_stringer else None, "other_id": None if of_stringer else number}


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
            whose = "1 player" if changed == 1 else f"{changed} players"
            flash(f"Kept for {whose}: the plan goes by it, where nothing comes late by that.")
            return see(url_for("whose_players.page"))
    return _shown(problem, chosen, was, form)


@blueprint.post("/rehearsal/whose/wish")
def wish():
    form = WishForm()
    form.choose_from()
    if form.validate_on_submit():
        with saving(form, "The wish is noted.") as session:
            asked = form.player.data, form.kind.data
            add_wish(session, context.event_id(), *asked, **form.named, acting=context.acting())
            return see(url_for("whose_players.page"))
    problem = _problem()
    return _shown(problem, *[in_turn(problem)] * 2, WhoseForm(formdata=None), wish_form=form)


@blueprint.post("/rehearsal/whose/wish/<int:wish_id>/remove")
def no_wish(wish_id: int):
    context.do(remove_wish, wish_id)
    return see(url_for("whose_players.page"))


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


def _shown(problem, chosen, was, form, gap: float | None = None, wish_form: WishForm | None = None):
    found = whose_players(context.reading(), context.current_event(), problem, chosen, was)
    if wish_form is None:
        wish_form = WishForm(formdata=None)
        wish_form.choose_from()
    return show(
        "rehearsal/whose.html",
        trouble_of=wish_form if wish_form.errors or wish_form.trouble else form,
        form=form,
        found=found,
        was=was,
        gap=gap,
        wish_form=wish_form,
    )
