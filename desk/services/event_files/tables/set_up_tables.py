"""The tables that set an event up: days, courts, people and machines with their hours."""

from __future__ import annotations

from desk.services.event_files.cells import plain_cells, trade_cells
from desk.services.event_files.cells.row_checks import check_interval, in_order
from desk.services.event_files.tables.spec import Column, Table
from desk.services.money.pay_rates import RATE_PER
from desk.trade.bench.care_intervals import HOURS, RACQUETS
from desk.trade.bench.pace import FASTEST, SLOWEST
from desk.trade.racquet.value_kinds import HOURS_A_WEEK, REACH_CM

_DAY = Column("day", "Day of the event", "2031-05-12", plain_cells.day, required=True, refers="days")
_FROM = Column("from", "Beginning, HH:MM", "08:00", plain_cells.time_of, required=True)
_TO = Column("to", "End, HH:MM; past midnight 24:30", "13:00", plain_cells.time_of, required=True)


def code_column(what: str, example: str) -> Column:
    """The column with the code by which other tables name a row of this one."""
    return Column("code", f"Short code of {what}", example, plain_cells.code, required=True)


def name_column(what: str, example: str) -> Column:
    return Column("name", what, example, plain_cells.words(), required=True)


def _note() -> Column:
    return Column("note", "Anything else", "", plain_cells.words(1000), default="")


DAYS = Table(
    name="days",
    explanation="The days of the event with the hours of the desk.",
    required=True,
    key=("date",),
    checks=(in_order("opens", "closes"),),
    columns=(
        Column("date", "Date", "2031-05-12", plain_cells.iso_day, required=True),
        Column("opens", "Desk opens, HH:MM", "08:00", plain_cells.time_of, required=True),
        Column("closes", "Desk closes, HH:MM; past midnight 24:30", "20:00", plain_cells.time_of, required=True),
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
        Column("phone", "Telephone", "+351 555 0100", plain_cells.words(40), default=""),
        Column(
            "hours_per_week",
            "Hours played a week, for advice on when to restring",
            "8",
            plain_cells.number(HOURS_A_WEEK.low, HOURS_A_WEEK.high),
        ),
        Column(
            "stringer",
            "Code of the player's own stringer, if the lead chose one",
            "S1",
            plain_cells.code,
            refers="stringers",
        ),
        Column(
            "machine",
            "Code of the player's own machine; empty for that of the stringer",
            "M1",
            plain_cells.code,
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
            "kind",
            "How it pulls: constant_pull, lockout or drop_weight",
            "constant_pull",
            plain_cells.one_of("constant_pull", "lockout", "drop_weight"),
            required=True,
        ),
        Column(
            "reach",
            "String lost at each pulled end between frame and gripper, with its unit",
            "35 cm",
            trade_cells.length_cm(REACH_CM.low, REACH_CM.high),
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
        Column("machine", "Code of the machine", "M1", plain_cells.code, required=True, refers="machines"),
        _DAY,
        _FROM,
        _TO,
    ),
)

MACHINE_CHECKS = Table(
    name="machine_checks",
    explanation=(
        "What is checked on a machine after so many racquets or hours, whichever is first; without a row the usual "
        "list. The maker's manual comes before both."
    ),
    key=("name", "machine"),
    checks=(check_interval,),
    columns=(
        name_column("What is checked", "Clean clamps and gripper"),
        Column("every_racquets", "Due after so many racquets", "40", plain_cells.whole(RACQUETS.low, RACQUETS.high)),
        Column(
            "every_hours",
            "Due after so many hours with a racquet on the machine",
            "20",
            plain_cells.whole(HOURS.low, HOURS.high),
        ),
        Column(
            "machine",
            "Code of the machine, for one in place of the general check of that name",
            "M1",
            plain_cells.code,
            refers="machines",
        ),
        Column(
            "note",
            "What to look at, and with what caution",
            "Switch off and unplug first",
            plain_cells.words(1000),
            default="",
        ),
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
            "home_machine",
            "Code of the machine at which this stringer works",
            "M1",
            plain_cells.code,
            refers="machines",
        ),
        Column(
            "pace",
            "Per cent of house time: 110 needs a tenth longer; what finished jobs teach begins there",
            "100",
            plain_cells.whole(FASTEST, SLOWEST),
            default=100,
        ),
        Column("gut", "Whether this stringer strings natural gut: yes or no", "yes", plain_cells.yes_no, default=True),
        Column(
            "on_court",
            "Whether this stringer takes racquets from the court: yes or no",
            "yes",
            plain_cells.yes_no,
            default=True,
        ),
        Column(
            "trainee",
            "A trainee strings no natural gut and nothing from the court: yes or no",
            "no",
            plain_cells.yes_no,
            default=False,
        ),
        Column("most_a_day", "Most racquets a day; empty for no limit", "20", plain_cells.whole(0, 60)),
        Column("rate", "What a racquet, or an hour on shift, is paid; empty for none", "6.50", plain_cells.money),
        Column("rate_per", "racquet or hour", "racquet", plain_cells.one_of(*RATE_PER), default="racquet"),
        Column("pin", "4 to 8 digits for signing in at a bench; it is stored as a hash", "", plain_cells.pin),
    ),
)

SHIFTS = Table(
    name="shifts",
    explanation="When a stringer works; a break is the gap between two shifts.",
    required=True,
    key=("stringer", "from"),
    checks=(in_order("from", "to"),),
    columns=(
        Column("stringer", "Code of the stringer", "S1", plain_cells.code, required=True, refers="stringers"),
        _DAY,
        _FROM,
        _TO,
    ),
)
