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

DAY_COLUMN = Column("day", "Day of the event", "2031-05-12", plain_cells.day, required=True, refers="days")
TIME_COLUMN = Column("time", "Time, HH:MM", "09:10", plain_cells.time_of, required=True)

MATCHES = Table(
    name="matches",
    explanation="The order of play of every day that is known.",
    key=("code",),
    checks=(match_start, match_sides),
    columns=(
        code_column("the match", "M12"),
        DAY_COLUMN,
        Column("court", "Name of the court", "Court 1", plain_cells.words(), required=True, refers="courts"),
        Column(
            "position", "Place in the order of that court and day, from 1", "2", plain_cells.whole(1, 99), required=True
        ),
        Column(
            "format",
            "best_of_3_men, best_of_3_women, best_of_5_men or doubles (with match tie-break)",
            "best_of_3_women",
            plain_cells.one_of("best_of_3_men", "best_of_3_women", "best_of_5_men", "doubles"),
            required=True,
        ),
        Column(
            "start_kind",
            "at, not_before or followed_by",
            "not_before",
            plain_cells.one_of("at", "not_before", "followed_by"),
            required=True,
        ),
        Column("start", "Time for at and not_before; empty for followed_by", "13:00", plain_cells.time_of),
        Column(
            "side1",
            'Code of the player, two with a slash ("P03 / P07"), or "winner of M12"',
            "P03",
            trade_cells.side,
            required=True,
        ),
        Column("side2", "The other side, likewise", "P07", trade_cells.side, required=True),
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
            "what",
            ", ".join(INCIDENTS[:-1]) + f" or {INCIDENTS[-1]}",
            "machine_out",
            plain_cells.one_of(*INCIDENTS),
            required=True,
        ),
        Column(
            "which", "Code of the machine, stringer or match; empty for rain and play_resumes", "M1", plain_cells.code
        ),
        Column("until", "Expected end, if somebody knows: HH:MM, or a day and a time", "15:30", plain_cells.moment),
        Column("winner", "For a match that ended: 1 or 2, the side that goes on", "", plain_cells.whole(1, 2)),
        Column("note", "Anything else", "gripper slips", plain_cells.words(1000), default=""),
    ),
)
