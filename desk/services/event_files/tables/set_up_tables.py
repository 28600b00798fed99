"""The tables that set an event up: days, courts, people and machines with their hours."""

from __future__ import annotations

from desk.models import Court, EventDay, Machine, MachineCheck, Player, ServiceHours, Shift, Stringer
from desk.services.event_files.cells.cell_texts import with_unit
from desk.services.event_files.cells.plain_cells import cell_of, iso_day, pin, whole, words
from desk.services.event_files.cells.row_checks import check_interval, in_order
from desk.services.event_files.cells.trade_cells import length_cm
from desk.services.event_files.tables.columns import (
    DAY,
    NOTE,
    called,
    choice,
    hours,
    key_code,
    one_in,
    price_of,
    whether,
)
from desk.services.event_files.tables.spec import Column, Table
from desk.services.machines.machines import KINDS
from desk.services.money.pay_rates import RATE_PER
from desk.services.team.team import MOST_A_DAY
from desk.trade.bench.care_intervals import HOURS, RACQUETS
from desk.trade.racquet.value_kinds import HOURS_A_WEEK, PACE, REACH_CM

_FROM_TO = (hours("from", "Beginning, HH:MM", "08:00"), hours("to", "End, HH:MM; past midnight 24:30", "13:00"))

DAYS = Table(
    name="days",
    explanation="The days of the event with the hours of the desk.",
    required=True,
    key=("date",),
    checks=(in_order("opens", "closes"),),
    record=EventDay,
    order="date",
    columns=(
        Column("date", "Date", "2031-05-12", iso_day, required=True),
        hours("opens", "Desk opens, HH:MM", "08:00"),
        hours("closes", "Desk closes, HH:MM; past midnight 24:30", "20:00"),
    ),
)

COURTS = Table(
    name="courts",
    explanation="The courts, in the order in which screens show them.",
    key=("name",),
    record=Court,
    order="position",
    columns=(called("Name of the court", "Court 1"),),
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
    record=Player,
    columns=(
        key_code("the player", "P01"),
        called("Name as it is called out", "Ilka Torvane"),
        Column("phone", "Telephone", "+351 555 0100", words(40), default=""),
        Column("hours_per_week", "Hours played a week, for advice on when to restring", "8", cell_of(HOURS_A_WEEK)),
        one_in(
            "stringers",
            "stringer",
            "Code of the player's own stringer, if the lead chose one",
            "S1",
            stored="own_stringer_id",
        ),
        one_in(
            "machines",
            "machine",
            "Code of the player's own machine; empty for that of the stringer",
            "M1",
            stored="own_machine_id",
        ),
        NOTE,
    ),
)

MACHINES = Table(
    name="machines",
    explanation="The stringing machines, one a bench, in their order in the room.",
    required=True,
    key=("code",),
    record=Machine,
    order="position",
    columns=(
        key_code("the machine", "M1"),
        called("Name", "Bench 1"),
        choice("kind", "How it pulls: ", KINDS, "constant_pull", required=True),
        Column(
            "reach",
            "String lost at each pulled end between frame and gripper, with its unit",
            "35 cm",
            length_cm(REACH_CM),
            default=35.0,
            stored="reach_cm",
            write=with_unit("cm"),
        ),
    ),
)

SERVICE_HOURS = Table(
    name="service_hours",
    explanation="When a machine is in service; one without a row is in service throughout.",
    key=("machine", "from"),
    checks=(in_order("from", "to"),),
    record=ServiceHours,
    columns=(one_in("machines", "machine", "Code of the machine", "M1", required=True), DAY, *_FROM_TO),
)

MACHINE_CHECKS = Table(
    name="machine_checks",
    explanation=(
        "What is checked on a machine after so many racquets or hours, whichever is first; without a row the usual "
        "list. The maker's manual comes before both."
    ),
    key=("name", "machine"),
    checks=(check_interval,),
    record=MachineCheck,
    columns=(
        called("What is checked", "Clean clamps and gripper"),
        Column("every_racquets", "Due after so many racquets", "40", cell_of(RACQUETS)),
        Column("every_hours", "Due after so many hours with a racquet on the machine", "20", cell_of(HOURS)),
        one_in("machines", "machine", "Code of the machine, for one in place of the general check of that name", "M1"),
        Column(
            "note", "What to look at, and with what caution", "Switch off and unplug first", words(1000), default=""
        ),
    ),
)

STRINGERS = Table(
    name="stringers",
    explanation="Those who string.",
    required=True,
    key=("code",),
    record=Stringer,
    order="position",
    columns=(
        key_code("the stringer", "S1"),
        called("Name", "Bo Karrel"),
        one_in("machines", "home_machine", "Code of the machine at which this stringer works", "M1"),
        Column(
            "pace",
            "Per cent of house time: 110 needs a tenth longer; what finished jobs teach begins there",
            "100",
            cell_of(PACE),
            default=100,
        ),
        whether("gut", "Whether this stringer strings natural gut", default=True, stored="strings_gut"),
        whether(
            "on_court", "Whether this stringer takes racquets from the court", default=True, stored="strings_on_court"
        ),
        whether(
            "trainee", "A trainee strings no natural gut and nothing from the court", default=False, stored="is_trainee"
        ),
        Column("most_a_day", "Most racquets a day; empty for no limit", "20", whole(0, MOST_A_DAY)),
        price_of("rate", "What a racquet, or an hour on shift, is paid; empty for none", "6.50"),
        choice("rate_per", "", tuple(RATE_PER), "racquet", default="racquet"),
        Column("pin", "4 to 8 digits for signing in at a bench; it is stored as a hash", "", pin, stored=None),
    ),
)

SHIFTS = Table(
    name="shifts",
    explanation="When a stringer works; a break is the gap between two shifts.",
    required=True,
    key=("stringer", "from"),
    checks=(in_order("from", "to"),),
    record=Shift,
    columns=(one_in("stringers", "stringer", "Code of the stringer", "S1", required=True), DAY, *_FROM_TO),
)

SET_UP_TABLES = (DAYS, COURTS, PLAYERS, MACHINES, SERVICE_HOURS, MACHINE_CHECKS, STRINGERS, SHIFTS)
