"""The order of play, and the incidents of the days."""

from __future__ import annotations

from dataclasses import replace

from desk.models import Match
from desk.queries.play.play_records import FORMAT_NAMES
from desk.services.event_files.cells.cell_texts import clock_time
from desk.services.event_files.cells.plain_cells import code, one_of, time_of, whole
from desk.services.event_files.cells.row_checks import incident_which, match_sides, match_start
from desk.services.event_files.cells.trade_cells import side
from desk.services.event_files.tables.columns import COURT, DAY, NOTE, TIME, choice, key_code, until
from desk.services.event_files.tables.spec import Column, Table
from desk.services.play.order_of_play import START_KINDS

INCIDENTS = (
    "rain",
    "play_resumes",
    "machine_out",
    "machine_back",
    "stringer_away",
    "stringer_back",
    "match_started",
    "match_finished",
    "match_retired",
    "match_walkover",
    "match_suspended",
)

MATCHES = Table(
    name="matches",
    explanation="The order of play of every day that is known.",
    key=("code",),
    checks=(match_start, match_sides),
    record=Match,
    columns=(
        key_code("the match", "M12"),
        replace(DAY, stored="day_id"),
        COURT,
        Column("position", "Place in the order of that court and day, from 1", "2", whole(1, 99), required=True),
        Column(
            "format",
            "best_of_3_men, best_of_3_women, best_of_5_men or doubles (with match tie-break)",
            "best_of_3_women",
            one_of(*FORMAT_NAMES),
            required=True,
        ),
        choice("start_kind", "", START_KINDS, "not_before", required=True),
        Column(
            "start",
            "Time for at and not_before; empty for followed_by",
            "13:00",
            time_of,
            stored="start_at",
            write=clock_time,
        ),
        Column(
            "side1",
            'Code of the player, two with a slash ("P03 / P07"), or "winner of M12"',
            "P03",
            side,
            required=True,
            stored=None,
        ),
        Column("side2", "The other side, likewise", "P07", side, required=True, stored=None),
    ),
)

INCIDENTS_TABLE = Table(
    name="incidents",
    explanation="What happens on the days besides drop-offs. Played by the command `day`.",
    checks=(incident_which,),
    columns=(
        DAY,
        TIME,
        choice("what", "", INCIDENTS, "machine_out", required=True),
        Column("which", "Code of the machine, stringer or match; empty for rain and play_resumes", "M1", code),
        until("until", "Expected end, if somebody knows: HH:MM, or a day and a time", "15:30"),
        Column("winner", "For a match that ended: 1 or 2, the side that goes on", "", whole(1, 2)),
        replace(NOTE, example="gripper slips"),
    ),
)
