"""The bench: one stringer's next card, start, finish, problem, and taking a wrong touch back."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from flask import Blueprint, render_template, request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response
from wtforms import BooleanField, Form, FormField, HiddenField, IntegerField, SelectField, TextAreaField
from wtforms.validators import InputRequired, NumberRange, Optional

from desk.errors import NotAllowed
from desk.models import Job, Stringer
from desk.queries.bench import bench as bench_queries
from desk.queries.event.events import stringer_names
from desk.queries.finding import find_of
from desk.queries.machines.machines import why_machines_rest
from desk.queries.plan.stranded import standing_still
from desk.queries.team.team import stringer_rows
from desk.services.bench import jobs
from desk.services.bench.undo import undo_last
from desk.trade.event.event_settings import CLUB_WEEKEND
from desk.trade.racquet.bed import Bed, Half, HalfUse
from desk.trade.racquet.frame_answer import FRAME_IS_CRACKED
from desk.web import context
from desk.web.counter.with_whom import whom_of
from desk.web.forms import DeskForm, KeyedForm, MeasureField, TicksField, options, row_number, saving, see, show
from desk.web.fragments import fragment

blueprint = Blueprint("bench", __name__)
PROBLEMS = (FRAME_IS_CRACKED, "String broke", "Grommet is broken", "String is missing", "Machine trouble")


class TouchForm(KeyedForm):
    """A touch on one racquet; it counts once."""

    job_id = HiddenField()

    @property
    def job(self) -> int:
        return row_number(self.job_id.data) or 0

    @property
    def key(self) -> str | None:
        return self.request_key.data or None


class StartForm(TouchForm):
    machine_id = SelectField("Machine", coerce=int, validators=[InputRequired("choose the machine")])


def _half(half: Half) -> FormField:
    """What one half was cut from, and its metres."""
    called = half.capitalize()

    class HalfPart(Form):
        reel_id = SelectField(f"{called} cut from", coerce=int, validators=[Optional()], validate_choice=False)
        m = MeasureField(f"{called}, metres measured", [Optional()])

    return FormField(HalfPart, separator="_")


class FinishForm(TouchForm):
    checks = TicksField("Before it leaves", choices=options(jobs.BENCH_CHECKS.items()))
    stiffness = MeasureField("Stiffness", [Optional(), NumberRange(0, 200, "0 to 200")])
    mains, crosses = _half("mains"), _half("crosses")
    accept_difference = BooleanField("It differs from its sisters; it leaves all the same")

    @property
    def halves(self) -> Bed[Form]:
        return Bed(self.mains.form, self.crosses.form)

    def finish(self) -> jobs.Finish:
        return jobs.Finish(
            checks=self.checks.data or (),
            stiffness=self.stiffness.data,
            used=self.halves.map(lambda half: HalfUse(half.reel_id.data or None, half.m.data)),
            accept_difference=self.accept_difference.data,
        )


class ProblemForm(TouchForm):
    reason = TextAreaField("What is wrong?", [InputRequired("say what is wrong in a few words")])


class UndoForm(TouchForm):
    change_id = IntegerField(validators=[Optional()])


def _stringer(stringer_id: int) -> Stringer:
    actor = context.actor()
    if actor.stringer_id not in (None, stringer_id):
        raise NotAllowed("This is another stringer's bench; yours opens from the menu.")
    return find_of(context.reading(), context.current_event(), Stringer, stringer_id, "stringer")


@blueprint.get("/bench/mine")
def mine() -> Response:
    stringer_id = context.actor().stringer_id or _own_bench()
    return see(url_for("bench.page", stringer_id=stringer_id) if stringer_id else url_for("bench.benches"))


def _own_bench() -> int | None:
    """Return the bench of a stringer who signs in with an account of their own: the one of the same name."""
    actor = context.actor()
    people = stringer_names(context.reading(), context.event_id()) if actor.role == "stringer" else ()
    return next((row_id for row_id, name in people if name.casefold() == actor.name.casefold()), None)


@blueprint.get("/benches")
def benches():
    if context.actor().stringer_id:
        return see(url_for("bench.mine"))
    found = bench_queries.bench_lines(context.reading(), context.current_event())
    if len(found) == 1 and context.head().kind == CLUB_WEEKEND:
        return see(url_for("bench.page", stringer_id=found[0].stringer_id))
    return show("bench/benches.html", lines=found, **_who_is_here())


@blueprint.get("/benches/lines")
@fragment()
def lines() -> str:
    found = bench_queries.bench_lines(context.reading(), context.current_event())
    return render_template("bench/_benches.html", lines=found, **_who_is_here())


def _who_is_here() -> dict[str, object]:
    rows = stringer_rows(context.reading(), context.current_event(), context.event_time())
    return {"team": {row.stringer_id: row for row in rows}, "still": _still()}


def _still() -> dict[int, str]:
    """Return which racquets on a machine nobody works on, and why."""
    return standing_still(context.reading(), context.current_event(), context.event_time())


@blueprint.get("/bench/<int:stringer_id>")
def page(stringer_id: int):
    return show("bench/page.html", **_bench_values(_stringer(stringer_id)))


@blueprint.get("/bench/<int:stringer_id>/card")
@fragment()
def card(stringer_id: int) -> str:
    return render_template("bench/_bench.html", **_bench_values(_stringer(stringer_id)))


def _bench_values(stringer: Stringer, *sent: DeskForm) -> dict[str, object]:
    """Return what the bench shows, with fresh forms except those that were SENT and refused."""
    event = context.current_event()
    first = request.args.get("job", type=int)
    bench = bench_queries.bench(context.reading(), event, stringer, first_job_id=first)
    forms = {type(form): form for form in sent}
    kinds = (StartForm, FinishForm, ProblemForm, UndoForm)
    start, finish, problem, undo = (forms.get(kind) or kind(formdata=None) for kind in kinds)
    start.machine_id.choices = options(bench.machines)
    for half, fields in finish.halves.items():
        reels = bench.reels[half].reels if bench.reels else ()
        named = [(reel.reel_id, f"{reel.code}, {reel.left_m:.1f} m") for reel in reels]
        fields.reel_id.choices = options([(0, "the shortest that is enough"), *named])
    return {
        "bench": bench,
        "unusable": why_machines_rest(context.reading(), event, context.event_time()),
        "still": _still(),
        "whom": whom_of(bench.current, *(slot.card for slot in bench.upcoming)),
        "target": event.target_minutes,
        "tolerance": Decimal(str(event.stiffness_tolerance)),
        "start": start,
        "finish": finish,
        "problem": problem,
        "undo": undo,
        "problems": PROBLEMS,
        "first": first,
    }


@blueprint.post("/bench/<int:stringer_id>/start")
def begin(stringer_id: int):
    stringer, form = _stringer(stringer_id), StartForm()
    form.machine_id.choices = options(bench_queries.machines(context.reading(), context.current_event()))
    at = {"stringer_id": stringer.id, "machine_id": form.machine_id.data}
    return _touched(stringer, form, jobs.start_job, is_own=False, **at)


@blueprint.post("/bench/<int:stringer_id>/finish")
def end(stringer_id: int):
    stringer, form = _stringer(stringer_id), FinishForm()
    return _touched(stringer, form, jobs.finish_job, form.finish())


@blueprint.post("/bench/<int:stringer_id>/problem")
def trouble(stringer_id: int):
    stringer, form = _stringer(stringer_id), ProblemForm()
    return _touched(stringer, form, jobs.report_problem, form.reason.data)


@blueprint.post("/bench/<int:stringer_id>/undo")
def undo(stringer_id: int):
    stringer, form = _stringer(stringer_id), UndoForm()
    return _touched(stringer, form, undo_last, change_id=form.change_id.data)


def _touched(
    stringer: Stringer, form: TouchForm, service: Callable, *asked: object, is_own: bool = True, **values: object
):
    """Let a service do what a touch asks for, to a racquet of this bench (`is_own`) or any, and show the next card."""
    if form.validate_on_submit():
        with saving(form) as session:
            if is_own:
                _require_own(session, stringer, form.job)
            once = {"acting": context.acting(), "request_key": form.key}
            service(session, context.event_id(), form.job, *asked, **values, **once)
            return see(url_for("bench.page", stringer_id=stringer.id))
    return _refused(stringer, form)


def _require_own(session: Session, stringer: Stringer, job_id: int) -> None:
    """Let a stringer touch only what is or was on their own machine, and nothing that was handed over."""
    actor = context.actor()
    if actor is None or actor.role != "stringer":
        return
    job = find_of(session, context.current_event(), Job, job_id, "racquet")
    if job.stringer_id not in (None, stringer.id) or job.state in ("handed_over", "redo", "cancelled"):
        raise NotAllowed(f"{job.code} is not at this bench. Its own stringer or the desk does this.")


def _refused(stringer: Stringer, form: TouchForm):
    """Show the bench again with the form as it was sent and what is wrong with it."""
    form.trouble = form.trouble or _sentence(form)
    values = _bench_values(stringer, form)
    if context.wants_fragment():
        return render_template("bench/_refused.html", **values, refused=form), 422
    return show("bench/page.html", **values, refused=form)


def _sentence(form: TouchForm) -> str:
    """Say in one line what is wrong with which field."""
    return "; ".join(f"{form[name].label.text}: {', '.join(errors)}" for name, errors in form.errors.items() if name)
