"""The order of play, and the incidents of the days."""

from __future__ import annotations

from desk.services.event_files.cells import plain_cells, trade_cells
from desk.services.event_files.cells.row_checks import incident_which, match_sides, match_start
from desk.services.event_files.tables.set_up_tables import code_column
from desk.services.event_files.tables.spec import Column, Table

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

DAY_COLUMN = Column(
    name="day",
    explanation="Day of the event",
    example="2031-05-12",
    parse=plain_cells.day,
    required=True,
    refers="days",
)
TIME_COLUMN = Column(name="time", explanation="Time, HH:MM", example="09:10", parse=plain_cells.time_of, required=True)

MATCHES = Table(
    name="matches",
    explanation="The order of play of every day that is known.",
    key=("code",),
    checks=(match_start, match_sides),
    columns=(
        code_column("the match", "M12"),
        DAY_COLUMN,
        Column(
            name="court",
            explanation="Name of the court",
            example="Court 1",
            parse=plain_cells.words(),
            required=True,
            refers="courts",
        ),
        Column(
            name="position",
            explanation="Place in the order of that court and day, from 1",
            example="2",
            parse=plain_cells.whole(1, 99),
            required=True,
        ),
        Column(
            name="format",
            explanation="best_of_3_men, best_of_3_women, best_of_5_men or doubles (with match tie-break)",
            example="best_of_3_women",
            parse=plain_cells.one_of("best_of_3_men", "best_of_3_women", "best_of_5_men", "doubles"),
            required=True,
        ),
        Column(
            name="start_kind",
            explanation="at, not_before or followed_by",
            example="not_before",
            parse=plain_cells.one_of("at", "not_before", "followed_by"),
            required=True,
        ),
        Column(
            name="start",
            explanation="Time for at and not_before; empty for followed_by",
            example="13:00",
            parse=plain_cells.time_of,
        ),
        Column(
            name="side1",
            explanation='Code of the player, two with a slash ("P03 / P07"), or "winner of M12"',
            example="P03",
            parse=trade_cells.side,
            required=True,
        ),
        Column(
            name="side2", explanation="The other side, likewise", example="P07", parse=trade_cells.side, required=True
        ),
    ),
)

INCIDENTS_TABLE = Table(
    name="incidents",
    explanation="What happens on the days besides drop-offs. Played by the command `day`.",
    checks=(incident_which,),
    columns=(
        DAY_COLUMN,
        TIME_COLUMN,
        Column(
            name="what",
            explanation=", ".join(INCIDENTS[:-1]) + f" or {INCIDENTS[-1]}",
            example="machine_out",
            parse=plain_cells.one_of(*INCIDENTS),
            required=True,
        ),
        Column(
            name="which",
            explanation="Code of the machine, stringer or match; empty for rain and play_resumes",
            example="M1",
            parse=plain_cells.code,
        ),
        Column(
            name="until",
            explanation="Expected end, if somebody knows: HH:MM, or a day and a time",
            example="15:30",
            parse=plain_cells.moment,
        ),
        Column(
            name="winner",
            explanation="For a match that ended: 1 or 2, the side that goes on",
            example="",
            parse=plain_cells.whole(1, 2),
        ),
        Column(
            name="note", explanation="Anything else", example="gripper slips", parse=plain_cells.words(1000), default=""
        ),
    ),
)
