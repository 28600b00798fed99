"""On the player's screen: whose the player is, at which machine, and the lead's choice of both."""

from __future__ import annotations

from flask import Blueprint, flash, url_for
from werkzeug.wrappers import Response
from wtforms import SelectField

from desk.models import Player
from desk.queries.bench.bench import machines as machine_pairs
from desk.queries.event.events import stringer_names
from desk.queries.finding import find_of
from desk.services.plan.own_benches import set_own_bench
from desk.web import context
from desk.web.forms import DeskForm, options, saved, see

blueprint = Blueprint("own_bench", __name__)


class OwnBenchForm(DeskForm):
    stringer_id = SelectField("Own stringer", coerce=int)
    machine_id = SelectField("Own machine", coerce=int)


def own_bench_form(who: Player | None = None) -> OwnBenchForm:
    """Return the form as it was sent, or with the lead's choice for WHO."""
    data = {} if who is None else {"stringer_id": who.own_stringer_id or 0, "machine_id": who.own_machine_id or 0}
    form = OwnBenchForm() if who is None else OwnBenchForm(formdata=None, data=data)
    session, event = context.reading(), context.current_event()
    form.stringer_id.choices = options([(0, "left to the plan"), *stringer_names(session, event.id)])
    form.machine_id.choices = options([(0, "that of the stringer"), *machine_pairs(session, event)])
    return form


@blueprint.post("/players/<int:player_id>/own-bench")
def choose(player_id: int) -> Response:
    find_of(context.reading(), context.current_event(), Player, player_id, "player")
    form = own_bench_form()
    bench = form.stringer_id.data or None, form.machine_id.data or None
    if not saved(form, "Kept; the plan follows it.", set_own_bench, player_id, *bench) and form.trouble:
        flash(form.trouble)
    return see(url_for("players.player", player_id=player_id))
