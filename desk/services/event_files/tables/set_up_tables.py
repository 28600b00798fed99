"""The tables that set an event up: days, courts, people and machines with their hours."""

from __future__ import annotations

from desk.services.event_files.cells import plain_cells, trade_cells
from desk.services.event_files.cells.row_checks import in_order
from desk.services.event_files.tables.spec import Column, Table
from desk.trade.pace import FASTEST, SLOWEST
from desk.trade.value_kinds import HOURS_A_WEEK, REACH_CM

_DAY = Column(
    name="day",
    explanation="Day of the event",
    example="2031-05-12",
    parse=plain_cells.day,
    required=True,
    refers="days",
)
_FROM = Column(name="from", explanation="Beginning, HH:MM", example="08:00", parse=plain_cells.time_of, required=True)
_TO = Column(
    name="to", explanation="End, HH:MM; past midnight 24:30", example="13:00", parse=plain_cells.time_of, required=True
)


def code_column(what: str, example: str) -> Column:
    """The column with the code by which other tables name a row of this one."""
    return Column(
        name="code", explanation=f"Short code of {what}", example=example, parse=plain_cells.code, required=True
    )


def name_column(what: str, example: str) -> Column:
    return Column(name="name", explanation=what, example=example, parse=plain_cells.words(), required=True)


def _note() -> Column:
    return Column(name="note", explanation="Anything else", example="", parse=plain_cells.words(1000), default="")


DAYS = Table(
    name="days",
    explanation="The days of the event with the hours of the desk.",
    required=True,
    key=("date",),
    checks=(in_order("opens", "closes"),),
    columns=(
        Column(name="date", explanation="Date", example="2031-05-12", parse=plain_cells.iso_day, required=True),
        Column(
            name="opens", explanation="Desk opens, HH:MM", example="08:00", parse=plain_cells.time_of, required=True
        ),
        Column(
            name="closes",
            explanation="Desk closes, HH:MM; past midnight 24:30",
            example="20:00",
            parse=plain_cells.time_of,
            required=True,
        ),
    ),
)

COURTS = Table(
    name="courts",
    explanation="The courts, in the order in which screens show them.",
    key=("name",),
    columns=(name_column("Name of the court", "Court 1"),),
)

PLAYERS = Table(
    name="players",
    explanation="The players. Two players of one name are told apart by their codes.",
    required=True,
    key=("code",),
    duplicate_help=(
        "each code once: if these are two players, also of one name, give the second a code of their own; "
        "if it is one player, delete a row"
    ),
    columns=(
        code_column("the player", "P01"),
        name_column("Name as it is called out", "Ilka Torvane"),
        Column(
            name="hours_per_week",
            explanation="Hours played a week, for advice on when to restring",
            example="8",
            parse=plain_cells.number(HOURS_A_WEEK.low, HOURS_A_WEEK.high),
        ),
        Column(
            name="stringer",
            explanation="Code of the player's own stringer, if the lead chose one",
            example="S1",
            parse=plain_cells.code,
            refers="stringers",
        ),
        Column(
            name="machine",
            explanation="Code of the player's own machine; empty for that of the stringer",
            example="M1",
            parse=plain_cells.code,
            refers="machines",
        ),
        _note(),
    ),
)

MACHINES = Table(
    name="machines",
    explanation="The stringing machines, one a bench, in their order in the room.",
    required=True,
    key=("code",),
    columns=(
        code_column("the machine", "M1"),
        name_column("Name", "Bench 1"),
        Column(
            name="kind",
            explanation="How it pulls: constant_pull, lockout or drop_weight",
            example="constant_pull",
            parse=plain_cells.one_of("constant_pull", "lockout", "drop_weight"),
            required=True,
        ),
        Column(
            name="reach",
            explanation="String lost at each pulled end between frame and gripper, with its unit",
            example="35 cm",
            parse=trade_cells.length_cm(REACH_CM.low, REACH_CM.high),
            default=35.0,
        ),
    ),
)

SERVICE_HOURS = Table(
    name="service_hours",
    explanation="When a machine is in service; one without a row is in service throughout.",
    key=("machine", "from"),
    checks=(in_order("from", "to"),),
    columns=(
        Column(
            name="machine",
            explanation="Code of the machine",
            example="M1",
            parse=plain_cells.code,
            required=True,
            refers="machines",
        ),
        _DAY,
        _FROM,
        _TO,
    ),
)

STRINGERS = Table(
    name="stringers",
    explanation="Those who string.",
    required=True,
    key=("code",),
    columns=(
        code_column("the stringer", "S1"),
        name_column("Name", "Bo Karrel"),
        Column(
            name="home_machine",
            explanation="Code of the machine at which this stringer works",
            example="M1",
            parse=plain_cells.code,
            refers="machines",
        ),
        Column(
            name="pace",
            explanation="Per cent of house time: 110 needs a tenth longer; what finished jobs teach begins there",
            example="100",
            parse=plain_cells.whole(FASTEST, SLOWEST),
            default=100,
        ),
        Column(
            name="pin",
            explanation="4 to 8 digits for signing in at a bench; it is stored as a hash",
            example="",
            parse=plain_cells.pin,
        ),
    ),
)

SHIFTS = Table(
    name="shifts",
    explanation="When a stringer works; a break is the gap between two shifts.",
    required=True,
    key=("stringer", "from"),
    checks=(in_order("from", "to"),),
    columns=(
        Column(
            name="stringer",
            explanation="Code of the stringer",
            example="S1",
            parse=plain_cells.code,
            required=True,
            refers="stringers",
        ),
        _DAY,
        _FROM,
        _TO,
    ),
)
