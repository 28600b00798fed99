"""The tables of drop-offs and calibrations, as they happen."""

from __future__ import annotations

from desk.services.event_files.cells import plain_cells, trade_cells
from desk.services.event_files.cells.row_checks import calibration_unit, drop_off_card, drop_off_times
from desk.services.event_files.tables.play_tables import DAY_COLUMN, TIME_COLUMN
from desk.services.event_files.tables.spec import Column, Table
from desk.trade.racquet.value_kinds import PRE_STRETCH

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
        Column("player", "Code of the player", "P03", plain_cells.code, required=True, refers="players"),
        Column("racquet", "The player's number of the racquet", "1", plain_cells.whole(1, 99), required=True),
        Column("frame", "Code of the frame", "F1", plain_cells.code, required=True, refers="frames"),
        Column(
            "mains_string",
            "Code of the string in the mains",
            "TALUS125",
            plain_cells.code,
            required=True,
            refers="strings",
        ),
        Column(
            "crosses_string",
            "Code of the string in the crosses; empty for the mains' string",
            "",
            plain_cells.code,
            refers="strings",
        ),
        Column("mains_tension", "Tension of the mains with its unit", "52.5 lb", trade_cells.tension, required=True),
        Column(
            "crosses_tension",
            "Tension of the crosses with its unit; empty for the mains' tension",
            "50.5 lb",
            trade_cells.tension,
        ),
        Column("pieces", "1 or 2 pieces of string (2 or 4 knots)", "2", plain_cells.whole(1, 2), default=2),
        Column(
            "mains_pre_stretch",
            "Pre-stretch of the mains, per cent",
            "0",
            plain_cells.whole(PRE_STRETCH.low, PRE_STRETCH.high, unit="%"),
            default=0,
        ),
        Column(
            "crosses_pre_stretch",
            "Pre-stretch of the crosses, per cent",
            "0",
            plain_cells.whole(PRE_STRETCH.low, PRE_STRETCH.high, unit="%"),
            default=0,
        ),
        Column("stencil", "Stencil and its ink; empty for none", "", plain_cells.words(60), default=""),
        Column(
            "extra_work",
            "none, grommets, grip (its size), overgrip, grommets_and_grip or grommets_and_overgrip",
            "none",
            plain_cells.one_of(*EXTRA_WORKS),
            default="none",
        ),
        Column(
            "own_string",
            "Whether the player brings the string: yes, no, mains or crosses",
            "no",
            trade_cells.own_parts,
            default=(),
        ),
        Column(
            "needed_by",
            "match (the player's next), a time HH:MM, a day and a time, or none",
            "match",
            trade_cells.needed_by,
            default=trade_cells.NeededBy("match"),
        ),
        Column("not_before", "String no earlier than HH:MM, or a day and a time", "", plain_cells.moment),
        Column("on_court", "Whether it comes from a match in play: yes or no", "no", plain_cells.yes_no, default=False),
        Column("court", "From which court, when on_court is yes", "", plain_cells.words(), refers="courts"),
        Column(
            "matters",
            "first: of the player's racquets the one that matters most; later: not needed for the start of the match",
            "",
            plain_cells.one_of("first", "later"),
            default="",
        ),
        Column(
            "as_fresh",
            "Whether the player wants it strung as shortly before it is needed as can be: yes or no",
            "no",
            plain_cells.yes_no,
            default=False,
        ),
        Column(
            "found",
            "What was found on the frame; one with a crack is not strung and goes back to its owner",
            "grommets worn",
            plain_cells.words(300),
            default="",
        ),
        Column(
            "consent",
            "What the owner agreed to: a tension above the frame's range, a worn frame",
            "",
            plain_cells.words(300),
            default="",
        ),
        Column(
            "brought_by",
            "Who brought them, where it was not the player",
            "Rosa Achterberg",
            plain_cells.words(80),
            default="",
        ),
        Column("note", "Anything else", "", plain_cells.words(1000), default=""),
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
        Column("machine", "Code of the machine", "M1", plain_cells.code, required=True, refers="machines"),
        Column("reference", "Tension that was set, with its unit", "20 kg", trade_cells.tension, required=True),
        Column("reading", "Tension that was measured, with its unit", "20.2 kg", trade_cells.tension, required=True),
        Column("by", "Code of the stringer who measured", "S1", plain_cells.code, refers="stringers"),
    ),
)
