"""The plan: a row a stringer, what waits beside it, and moves with their price."""

from __future__ import annotations

from datetime import datetime, timedelta

from flask import Blueprint, flash, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import SelectField, StringField
from wtforms.validators import InputRequired, Optional

from desk.errors import DeskError
from desk.models import Job
from desk.queries.bench.bench import machines as machine_pairs
from desk.queries.counter.job_cards import card_by_code
from desk.queries.event.events import stringer_names
from desk.queries.finding import find_of
from desk.queries.plan.kept_order import bench_order, kept_after, ordinal, place_choices, place_words
from desk.queries.plan.plan_board import plan_board
from desk.queries.plan.planned_place import planned_place, reason_now
from desk.queries.plan.stranded import stranded
from desk.queries.play.said_racquets import said_racquet
from desk.queries.promise.bending import bending_promises
from desk.queries.promise.open_times import fallen_promises
from desk.services.bench import jobs
from desk.services.plan import hand_moves
from desk.services.promise import telling
from desk.trade.errors import TradeError
from desk.trade.racquet.frame_answer import asks_for_frame
from desk.web import access, context
from desk.web.counter.with_whom import planned_with
from desk.web.forms import DeskForm, options, row_numbers, saving, see, show
from desk.web.fragments import answer, fragment

blueprint = Blueprint("plan", __name__)


class MoveForm(DeskForm):
    stringer_id = SelectField("Stringer", coerce=int, validators=[InputRequired("choose the stringer")])
    machine_id = SelectField("Machine", coerce=int, validators=[Optional()])
    after_id = SelectField("Place in the order", validators=[Optional()], default="")

    def to(self) -> hand_moves.HandMove:
        """Return where the racquet is to go."""
        after = self.after_id.data
        return hand_moves.HandMove(
            stringer_id=self.stringer_id.data,
            machine_id=self.machine_id.data or None,
            after_id=int(after) if after else None,
        )


class ReasonForm(DeskForm):
    reason = StringField("Why", [InputRequired("say why in a few words")])


def _board() -> dict[str, object]:
    """Return the board with the span of time to draw: what is planned or worked today, some hours at least."""
    event, now = context.current_event(), context.event_time()
    board = plan_board(context.reading(), event, now)
    soon, far = now - timedelta(minutes=30), now + timedelta(hours=16)
    spans = [(block.start_at, block.end_at) for row in board.rows for block in row.blocks]
    spans += [span for row in board.rows for span in row.shifts]
    shown = [(start, end) for start, end in spans if end > soon and start < far]
    first = max(soon, min([now, *(start for start, _ in shown)])).replace(minute=0, second=0, microsecond=0)
    last = min(far, max([now + timedelta(hours=4), *(end for _, end in shown)])) + timedelta(minutes=30)
    asks = {
        "bending": bending_promises(context.reading(), event, now),
        "fallen": fallen_promises(context.reading(), event),
        "stranded": stranded(context.reading(), event, now),
    }
    return asks | {"board": board, "first": first, "last": last, "hours": _hours(first, last)}


def _hours(first: datetime, last: datetime) -> list[datetime]:
    count = int((last - first).total_seconds() // 3600) + 1
    return [first + timedelta(hours=number) for number in range(count + 1)]


@blueprint.get("/plan")
def page():
    return show("plan/page.html", **_board())


@blueprint.get("/plan/board")
@fragment()
def lines() -> str:
    return render_template("plan/_board.html", **_board())


@blueprint.get("/plan/up-to-date")
def up_to_date():
    """Say, on every screen of the desk, when the plan is not kept up to date any more."""
    since = context.stale_since()
    return answer(lambda: render_template("plan/_stale.html", stale_since=since), since is None, moves=False)


def _moved(job: Job) -> MoveForm:
    form = MoveForm(request.args) if request.method == "GET" else MoveForm()
    session, event = context.reading(), context.current_event()
    form.stringer_id.choices = options(stringer_names(session, event.id))
    form.machine_id.choices = options([(0, "their own or any free one"), *machine_pairs(session, event)])
    if "stringer_id" not in request.values:
        place = planned_place(session, event, job.id)
        form.stringer_id.data = job.pinned_stringer_id or (place.stringer_id if place else None)
        form.machine_id.data = job.pinned_machine_id or 0
    order = bench_order(session, event, form.stringer_id.data or 0)
    form.after_id.choices = place_choices([one for one in order if one.job_id != job.id])
    if "after_id" not in request.values:
        form.after_id.data = kept_after(order, job.id)
    elif form.after_id.data not in dict(form.after_id.choices):
        # The places are those of another stringer until they are shown anew.
        form.after_id.data = "" if request.method == "GET" else form.after_id.data
    return form


def _racquet_page(job_id: int, *sent: DeskForm):
    job = find_of(context.reading(), context.current_event(), Job, job_id, "job")
    forms = {type(form): form for form in sent}
    move = forms.get(MoveForm) or _moved(job)
    return show(
        "plan/racquet.html",
        job=job,
        card=card_by_code(context.reading(), context.event_id(), job.code),
        move=move,
        reason=forms.get(ReasonForm) or ReasonForm(formdata=None),
        judgement=_judged(job, move),
        planned=planned_with(job),
        asks_frame=job.state == "held" and asks_for_frame(job.held_reason),
        why=reason_now(context.reading(), context.current_event(), job),
        kept=_kept(job),
        ordinal=ordinal,
        said=said_racquet(context.reading(), context.current_event(), job.id),
    )


def _kept(job: Job) -> str:
    order = bench_order(context.reading(), context.current_event(), job.pinned_stringer_id or 0)
    return next((place_words(order, at, full=True) for at, one in enumerate(order) if one.job_id == job.id), "")


def _judged(job: Job, move: MoveForm) -> hand_moves.Judgement | None:
    """Return what the move asked for in the address would do; a refusal stands in the form."""
    if not request.args.get("stringer_id") or job.state != "waiting" or not move.stringer_id.data:
        return None
    try:
        return hand_moves.judge_move(
            context.reading(),
            context.event_id(),
            job.id,
            move.to(),
            at=context.event_time(),
            start_at=_asked_start(),
        )
    except (DeskError, TradeError) as error:
        move.take(error)
        return None


def _asked_start() -> datetime | None:
    minutes = request.args.get("start", type=int)
    return None if minutes is None else datetime.fromtimestamp(minutes * 60, tz=context.event_time().tzinfo)


@blueprint.get("/plan/racquet/<int:job_id>")
def racquet(job_id: int):
    return _racquet_page(job_id)


@blueprint.post("/plan/racquet/<int:job_id>/keep")
def keep(job_id: int):
    form = _moved(find_of(context.reading(), context.current_event(), Job, job_id, "job"))
    if form.validate_on_submit():
        with saving(
            form, "The move is kept and the next plan follows it. It can be taken back on the racquet's page."
        ) as session:
            hand_moves.pin_job(session, context.event_id(), job_id, form.to(), acting=context.acting())
            return see(url_for("plan.page"))
    return _racquet_page(job_id, form)


@blueprint.post("/plan/racquet/<int:job_id>/free")
def free(job_id: int) -> Response:
    others = row_numbers(request.form.get("others"))
    context.do(hand_moves.unpin_jobs, [job_id, *others])
    flash(f"The plan may put the {'racquets' if others else 'racquet'} at any bench again.")
    return see(url_for("plan.racquet", job_id=job_id))


@blueprint.post("/plan/racquet/<int:job_id>/hold")
def hold(job_id: int):
    return _with_reason(job_id, jobs.hold_job, "Held. The plan leaves it out until it is released.")


@blueprint.post("/plan/racquet/<int:job_id>/cancel")
def cancel(job_id: int):
    return _with_reason(job_id, jobs.cancel_job, "Cancelled. The racquet goes back as it is.")


def _with_reason(job_id: int, change, done: str):
    form = ReasonForm()
    if form.validate_on_submit():
        with saving(form, done) as session:
            change(session, context.event_id(), job_id, form.reason.data, acting=context.acting())
            return see(url_for("plan.page"))
    return _racquet_page(job_id, form)


@blueprint.post("/plan/racquet/<int:job_id>/release")
def release(job_id: int) -> Response:
    context.do(jobs.release_job, job_id, frame_is_whole=bool(request.form.get("frame_is_whole")))
    flash("It waits in the queue again.")
    return see(url_for("plan.page"))


@blueprint.post("/plan/racquet/<int:job_id>/tell")
def tell(job_id: int) -> Response:
    with context.writing() as session:
        promise = telling.tell_new_time(session, context.event_id(), job_id, acting=context.acting())
        at = f"{context.clock().local(promise.ready_at):%H:%M}"
    flash(f"Told: {at} stands on the board and on the player’s page.")
    return see(access.safe_way_back(request.form.get("next"), url_for("plan.page")))


@blueprint.post("/plan/tell")
def tell_all() -> Response:
    with context.writing() as session:
        told = telling.tell_all_new_times(session, context.event_id(), acting=context.acting())
    flash(
        f"Told {len(told)} new {'time' if len(told) == 1 else 'times'}: they stand on the board and on players’ pages."
    )
    return see(url_for("plan.page"))
