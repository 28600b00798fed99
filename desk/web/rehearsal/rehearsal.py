"""Before the event: which team it takes, with the pictures, and the desk's own figures beside it afterwards."""

from __future__ import annotations

from flask import Blueprint, current_app, render_template, request, url_for
from markupsafe import Markup
from wtforms import FloatField, IntegerField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length, NumberRange, Optional

from desk.errors import BadInput, NotFound
from desk.queries.rehearsal.answers import Goal
from desk.queries.rehearsal.event_picture import Assumed
from desk.queries.rehearsal.kept_rehearsals import beside, last_asked, newest_rehearsal
from desk.queries.rehearsal.teams import teams_of
from desk.services.rehearsal.rehearsing import Asked
from desk.trade.rehearsed.picture import Risks
from desk.web import context
from desk.web.close.sheet_replies import as_file
from desk.web.forms import DeskForm, see, show
from desk.web.rehearsal.rehearser import Rehearser, Running
from exports.rehearsal import RehearsalReport, load_picture, promise_picture, rehearsal_json, rehearsal_workbook

blueprint = Blueprint("rehearsal", __name__)
MOST_TEAMS = 6
TEAMS = "as planned\nas planned less a machine\nas planned with a stringer"
WRITERS = {"xlsx": rehearsal_workbook, "json": rehearsal_json}


class RehearsalForm(DeskForm):
    teams = TextAreaField("Teams, one a line", [InputRequired("name a team"), Length(max=400)], default=TEAMS)
    times = IntegerField("How often each day is played", [InputRequired("10 to 500"), NumberRange(10, 500)], default=60)
    on_time = IntegerField("On time, of 100 racquets", [InputRequired("1 to 100"), NumberRange(1, 100)], default=98)
    days = IntegerField("on days, of 10", [InputRequired("1 to 10"), NumberRange(1, 10)], default=9)
    players = IntegerField("Players", [Optional(), NumberRange(0, 1000)])
    matches = StringField("Matches a day, with commas", [Optional(), Length(max=120)])
    racquets = FloatField("Racquets a player and match", [Optional(), NumberRange(0, 12)])
    on_court = FloatField("From a match in play, for 100 others", [Optional(), NumberRange(0, 100)])
    rain = FloatField("Days with rain, of 100", [Optional(), NumberRange(0, 100)], default=10)

    def asked(self) -> Asked:
        """What is to be rehearsed.

        Raises
        ------
        BadInput
            When the matches a day are no numbers, or a team's words cannot be read.
        """
        teams = tuple(line.strip() for line in self.teams.data.splitlines() if line.strip())
        if len(teams) > MOST_TEAMS:
            raise BadInput(f"{len(teams)} teams; at most {MOST_TEAMS} are rehearsed at once.")
        teams_of(context.reading(), context.current_event(), teams)
        parts = [part.strip() for part in (self.matches.data or "").split(",") if part.strip()]
        if not all(part.isdecimal() for part in parts):
            raise BadInput("Matches a day are whole numbers with commas, such as 5, 9, 6, 5, 4, 2, 1.")
        assumed = Assumed(
            players=self.players.data,
            matches_a_day=tuple(int(part) for part in parts),
            racquets=self.racquets.data,
            on_court=None if self.on_court.data is None else self.on_court.data / 100,
            risks=Risks(rain=(self.rain.data or 0) / 100),
        )
        goal = Goal(on_time=self.on_time.data / 100, days=self.days.data / 10)
        return Asked(teams=teams, replications=self.times.data, goal=goal, assumed=assumed, workers=1)

    @property
    def typed(self) -> dict[str, object]:
        """What was typed, to be shown again."""
        return {field.name: field.data for field in self if field.name != "csrf_token"}


@blueprint.get("/rehearsal")
def page():
    found = newest_rehearsal(context.reading(), context.current_event())
    form = RehearsalForm(formdata=None, data=last_asked(found[0] if found else None))
    return _page(form)


@blueprint.post("/rehearsal")
def start():
    form = RehearsalForm()
    if form.validate_on_submit():
        try:
            asked = form.asked()
        except BadInput as error:
            form.take(error)
        else:
            running = Running(event_id=context.event_id(), asked=asked, typed=form.typed, acting=context.acting())
            _rehearser().start(running)
            return see(url_for("rehearsal.page"))
    return _page(form)


@blueprint.get("/rehearsal/progress")
def progress():
    return render_template("rehearsal/_progress.html", running=_rehearser().of(context.event_id()))


@blueprint.get("/rehearsal/rehearsal.<suffix>")
def file(suffix: str):
    found = newest_rehearsal(context.reading(), context.current_event())
    if found is None or suffix not in WRITERS:
        raise NotFound("There is no such file; rehearse first, then take the workbook or the JSON file.")
    return as_file(WRITERS[suffix](found[1]), f"{context.current_event().slug}-rehearsal.{suffix}")


def _page(form: RehearsalForm):
    session, event = context.reading(), context.current_event()
    found = newest_rehearsal(session, event)
    report = found[1] if found else None
    team = _shown_team(report)
    return show(
        "rehearsal/page.html",
        form=form,
        running=_rehearser().of(event.id),
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


def _rehearser() -> Rehearser:
    return current_app.extensions.setdefault("desk_rehearser", Rehearser(context.database()))
