"""What if somebody leaves, a machine is out, or more racquets come: the plan beside the one in force."""

from __future__ import annotations

from datetime import timedelta

from flask import flash, request, url_for
from wtforms import IntegerField, RadioField, SelectField, StringField
from wtforms.validators import InputRequired, NumberRange, Optional

from desk.errors import DeskError
from desk.queries.bench.bench import machines as machine_pairs
from desk.queries.event.events import stringer_names
from desk.services.plan import what_if
from desk.trade.errors import TradeError
from desk.web import context
from desk.web.forms import DeskForm, options, saving, see, show
from desk.web.plan.plan import blueprint

SUPPOSITIONS = (
    ("stringer_leaves", "A stringer leaves"),
    ("machine_out", "A machine is out"),
    ("more_racquets", "More racquets come"),
)


class WhatIfForm(DeskForm):
    kind = RadioField("Suppose", choices=options(SUPPOSITIONS), default="stringer_leaves")
    stringer_id = SelectField("Who", coerce=int, validators=[Optional()], validate_choice=False)
    machine_id = SelectField("Which", coerce=int, validators=[Optional()], validate_choice=False)
    count = IntegerField("How many", [Optional(), NumberRange(1, 100, "1 to 100")], default=10)
    at = StringField("From when", [InputRequired("give a time such as 15:00")])


@blueprint.get("/plan/what-if")
def suppose():
    asked = "kind" in request.args
    form = WhatIfForm(request.args, meta={"csrf": False}) if asked else WhatIfForm(formdata=None, meta={"csrf": False})
    if not asked:
        form.at.data = f"{context.clock().local(context.event_time() + timedelta(hours=1)):%H:00}"
    _offer(form)
    return show("plan/what_if.html", form=form, answer=_answer(form) if asked and form.validate() else None)


@blueprint.post("/plan/what-if")
def keep_supposed():
    form = WhatIfForm()
    _offer(form)
    if form.validate_on_submit():
        with saving(form) as session:
            said = what_if.keep(session, context.event_id(), _supposed(form), acting=context.acting())
            flash(f"Kept: {said} A new plan is being made.")
            return see(url_for("plan.page"))
    return show("plan/what_if.html", form=form, answer=None)


def _offer(form: WhatIfForm) -> None:
    session, event = context.reading(), context.current_event()
    form.stringer_id.choices = options(stringer_names(session, event.id))
    form.machine_id.choices = options(machine_pairs(session, event))


def _answer(form: WhatIfForm) -> what_if.Answer | None:
    try:
        return what_if.what_if(context.reading(), context.event_id(), _supposed(form), at=context.event_time())
    except (DeskError, TradeError) as error:
        form.take(error)
        return None


def _supposed(form: WhatIfForm) -> what_if.Supposition:
    clock = context.clock()
    subject = {"stringer_leaves": form.stringer_id, "machine_out": form.machine_id}.get(form.kind.data)
    return what_if.Supposition(
        kind=form.kind.data,
        from_at=clock.parse(form.at.data, clock.local(context.event_time()).date()),
        subject_id=None if subject is None else subject.data,
        count=form.count.data or 0,
    )
