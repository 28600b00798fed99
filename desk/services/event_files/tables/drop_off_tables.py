"""The tables of drop-offs and calibrations, as they happen."""

from __future__ import annotations

from desk.services.event_files.cells import plain_cells, trade_cells
from desk.services.event_files.cells.row_checks import calibration_unit, drop_off_card, drop_off_times
from desk.services.event_files.tables.play_tables import DAY_COLUMN, TIME_COLUMN
from desk.services.event_files.tables.spec import Column, Table
from desk.trade.value_kinds import PRE_STRETCH

EXTRA_WORKS = ("none", "grommets", "grip", "overgrip", "grommets_and_grip", "grommets_and_overgrip")

DROPOFFS = Table(
    name="dropoffs",
    explanation=(
        "Racquets as they are dropped off, one a row; rows of one player at one time are one visit. "
        "Played by the command `day`, and read by the desk as a bulk drop-off."
    ),
    key=("time", "player", "racquet"),
    checks=(drop_off_card, drop_off_times),
    duplicate_help="a racquet once in a visit: number the player's racquets 1, 2, 3",
    columns=(
        DAY_COLUMN,
        TIME_COLUMN,
        Column(
            name="player",
            explanation="Code of the player",
            example="P03",
            parse=plain_cells.code,
            required=True,
            refers="players",
        ),
        Column(
            name="racquet",
            explanation="The player's number of the racquet",
            example="1",
            parse=plain_cells.whole(1, 99),
            required=True,
        ),
        Column(
            name="frame",
            explanation="Code of the frame",
            example="F1",
            parse=plain_cells.code,
            required=True,
            refers="frames",
        ),
        Column(
            name="mains_string",
            explanation="Code of the string in the mains",
            example="TALUS125",
            parse=plain_cells.code,
            required=True,
            refers="strings",
        ),
        Column(
            name="crosses_string",
            explanation="Code of the string in the crosses; empty for the mains' string",
            example="",
            parse=plain_cells.code,
            refers="strings",
        ),
        Column(
            name="mains_tension",
            explanation="Tension of the mains with its unit",
            example="52.5 lb",
            parse=trade_cells.tension,
            required=True,
        ),
        Column(
            name="crosses_tension",
            explanation="Tension of the crosses with its unit; empty for the mains' tension",
            example="50.5 lb",
            parse=trade_cells.tension,
        ),
        Column(
            name="pieces",
            explanation="1 or 2 pieces of string (2 or 4 knots)",
            example="2",
            parse=plain_cells.whole(1, 2),
            default=2,
        ),
        Column(
            name="mains_pre_stretch",
            explanation="Pre-stretch of the mains, per cent",
            example="0",
            parse=plain_cells.whole(PRE_STRETCH.low, PRE_STRETCH.high, unit="%"),
            default=0,
        ),
        Column(
            name="crosses_pre_stretch",
            explanation="Pre-stretch of the crosses, per cent",
            example="0",
            parse=plain_cells.whole(PRE_STRETCH.low, PRE_STRETCH.high, unit="%"),
            default=0,
        ),
        Column(
            name="stencil",
            explanation="Stencil and its ink; empty for none",
            example="",
            parse=plain_cells.words(60),
            default="",
        ),
        Column(
            name="extra_work",
            explanation="none, grommets, grip (its size), overgrip, grommets_and_grip or grommets_and_overgrip",
            example="none",
            parse=plain_cells.one_of(*EXTRA_WORKS),
            default="none",
        ),
        Column(
            name="own_string",
            explanation="Whether the player brings the string: yes, no, mains or crosses",
            example="no",
            parse=trade_cells.own_parts,
            default=(),
        ),
        Column(
            name="needed_by",
            explanation="match (the player's next), a time HH:MM, a day and a time, or none",
            example="match",
            parse=trade_cells.needed_by,
            default=trade_cells.NeededBy("match"),
        ),
        Column(
            name="not_before",
            explanation="String no earlier than HH:MM, or a day and a time",
            example="",
            parse=plain_cells.moment,
        ),
        Column(
            name="on_court",
            explanation="Whether it comes from a match in play: yes or no",
            example="no",
            parse=plain_cells.yes_no,
            default=False,
        ),
        Column(
            name="court",
            explanation="From which court, when on_court is yes",
            example="",
            parse=plain_cells.words(),
            refers="courts",
        ),
        Column(
            name="consent",
            explanation="What the owner agreed to: a tension above the frame's range, a worn frame",
            example="",
            parse=plain_cells.words(300),
            default="",
        ),
        Column(name="note", explanation="Anything else", example="", parse=plain_cells.words(1000), default=""),
    ),
)

CALIBRATIONS = Table(
    name="calibrations",
    explanation="Readings of the machines against a reference tension. Played by the command `day`.",
    key=("time", "machine", "reference"),
    checks=(calibration_unit,),
    columns=(
        DAY_COLUMN,
        TIME_COLUMN,
        Column(
            name="machine",
            explanation="Code of the machine",
            example="M1",
            parse=plain_cells.code,
            required=True,
            refers="machines",
        ),
        Column(
            name="reference",
            explanation="Tension that was set, with its unit",
            example="20 kg",
            parse=trade_cells.tension,
            required=True,
        ),
        Column(
            name="reading",
            explanation="Tension that was measured, with its unit",
            example="20.2 kg",
            parse=trade_cells.tension,
            required=True,
        ),
        Column(
            name="by",
            explanation="Code of the stringer who measured",
            example="S1",
            parse=plain_cells.code,
            refers="stringers",
        ),
    ),
)
