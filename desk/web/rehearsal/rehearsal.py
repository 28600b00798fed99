"""Before the event: which team it takes, with the pictures, and the desk's own figures beside it afterwards."""

from __future__ import annotations

from flask import Blueprint, current_app, render_template, request, url_for
from markupsafe import Markup
from wtforms import IntegerField, SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length, NumberRange, Optional

from desk.errors import NotFound
from desk.queries.rehearsal.kept_rehearsals import beside, last_asked, newest_rehearsal, newest_run
from desk.queries.rehearsal.teams import teams_of
from desk.services.rehearsal.asking import asked_of
from desk.services.rehearsal.runs import ask_to_stop, begin_run
from desk.web import context
from desk.web.forms import DeskForm, MeasureField, options, saving, see, show
from desk.web.rehearsal.rehearser import Rehearser
from desk.web.table_files import as_file
from exports.files.csvzip import DIALECTS
from exports.rehearsal.rehearsal_files import rehearsal_json, rehearsal_workbook
from exports.rehearsal.rehearsal_pictures import load_picture, promise_picture
from exports.rehearsal.rehearsal_rows import RehearsalReport
from exports.rehearsal.supplier_sheet import supplier_csv, supplier_workbook
from solver.rehearsal import EFFORT_THOROUGH, EFFORT_USUAL

blueprint = Blueprint("rehearsal", __name__)
TEAMS = "as planned\nas planned less a machine\nas planned with a stringer"
EFFORTS = [(str(EFFORT_USUAL), "Usual"), (str(EFFORT_THOROUGH), "Thorough: nearer to the desk’s own plans, slower")]
WRITERS = {"xlsx": rehearsal_workbook, "json": rehearsal_json}


class RehearsalForm(DeskForm):
    teams = TextAreaField("Teams, one a line", [InputRequired("name a team"), Length(max=400)], default=TEAMS)
    times = IntegerField("How often each day is played", [InputRequired("10 to 500"), NumberRange(10, 500)], default=60)
    on_time = IntegerField("On time, of 100 racquets", [InputRequired("1 to 100"), NumberRange(1, 100)], default=98)
    days = IntegerField("on days, of 10", [InputRequired("1 to 10"), NumberRange(1, 10)], default=9)
    players = IntegerField("Players", [Optional(), NumberRange(0, 1000)])
    matches = StringField("Matches a day, with commas", [Optional(), Length(max=120)])
    racquets = MeasureField("Racquets a player and match", [Optional(), NumberRange(0, 12)])
    on_court = MeasureField("From a match in play, for 100 others", [Optional(), NumberRange(0, 100)])
    rain = MeasureField("Days with rain, of 100", [Optional(), NumberRange(0, 100)], default=10)
    spread = MeasureField("How much bench times vary, per cent", [Optional(), NumberRange(0, 60)], default=15)
    machine_fails = MeasureField("Days on which a machine fails, of 100", [Optional(), NumberRange(0, 100)], default=1)
    stringer_away = MeasureField(
        "Days on which a stringer is away, of 100", [Optional(), NumberRange(0, 100)], default=0.5
    )
    effort = SelectField("Planning after each change", choices=options(EFFORTS), default=str(EFFORT_USUAL))

    def check(self) -> None:
        """Refuse what cannot be rehearsed.

        Raises
        ------
        BadInput
            When the matches a day are no numbers, or a team's words cannot be read.
        """
        teams_of(context.reading(), context.current_event(), asked_of(self.typed).teams)

    @property
    def typed(self) -> dict[str, object]:
        """What was typed, to be shown again."""
        return {field.name: field.data for field in self if field.name != "csrf_token"}


@blueprint.get("/rehearsal")
def page():
    return _page(RehearsalForm(formdata=None, data=last_asked(context.reading(), context.current_event())))


@blueprint.post("/rehearsal")
def start():
    form = RehearsalForm()
    if form.validate_on_submit():
        with saving(form) as session:
            form.check()
            run = begin_run(session, context.event_id(), form.typed, acting=context.acting()).id
        if not form.trouble:
            _rehearser().start(run)
            return see(url_for("rehearsal.page"))
    return _page(form)


@blueprint.get("/rehearsal/progress")
def progress():
    return render_template("rehearsal/_progress.html", **_run())


@blueprint.post("/rehearsal/<int:run_id>/stop")
def stop(run_id: int):
    run = _run()
    with context.writing() as session:
        ask_to_stop(session, context.event_id(), run_id, plays=run["plays"])
    return see(url_for("rehearsal.page"))


@blueprint.get("/rehearsal/rehearsal.<suffix>")
def file(suffix: str):
    found = newest_rehearsal(context.reading(), context.current_event())
    if found is None or suffix not in WRITERS:
        raise NotFound("There is no such file; rehearse first, then take the workbook or the JSON file.")
    return as_file(WRITERS[suffix](found[1]), f"{context.current_event().slug}-rehearsal.{suffix}")


@blueprint.get("/rehearsal/order.<suffix>")
def order(suffix: str):
    event = context.current_event()
    found = newest_rehearsal(context.reading(), event)
    if found is None or suffix not in ("xlsx", "csv"):
        raise NotFound("There is no such file; rehearse first, then take the order as a workbook or a CSV file.")
    xlsx = suffix == "xlsx"
    content = supplier_workbook(found[1]) if xlsx else supplier_csv(found[1], DIALECTS[event.csv_form])
    return as_file(content, f"{event.slug}-string-order.{suffix}")


def _page(form: RehearsalForm):
    session, event = context.reading(), context.current_event()
    found = newest_rehearsal(session, event)
    report = found[1] if found else None
    team = _shown_team(report)
    return show(
        "rehearsal/page.html",
        form=form,
        **_run(),
        report=report,
        made_at=found[0].made_at if found else None,
        team=team,
        pictures=_pictures(report, team.team) if report and team else [],
        beside=beside(session, event, report, team) if report and team else (),
    )


def _shown_team(report: RehearsalReport | None):
    """The team asked for in the address, else the least that keeps the goal, else the first."""
    if report is None or not report.teams:
        return None
    wanted = request.args.get("team", report.least_team)
    return next((row for row in report.teams if row.team == wanted), report.teams[0])


def _pictures(report: RehearsalReport, team: str) -> list[tuple[str, Markup]]:
    hours = [row for row in report.hours if row.team == team]
    days = dict.fromkeys(row.day for row in hours)
    found = [(day, load_picture([row for row in hours if row.day == day], f"{day}, {team}")) for day in days]
    kept = [row for row in report.promises if row.team == team]
    found.append(("Promises", promise_picture(kept, f"Promises kept, {team}")))
    return [(name, Markup(picture)) for name, picture in found]


def _run() -> dict[str, object]:
    """The newest run of the event, and whether anybody plays it."""
    run = newest_run(context.reading(), context.current_event())
    return {"run": run, "plays": run is not None and not run.is_over and _rehearser().plays(run)}


def _rehearser() -> Rehearser:
    return current_app.extensions.setdefault("desk_rehearser", Rehearser(context.database()))
