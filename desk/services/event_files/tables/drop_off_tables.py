"""The tables of drop-offs and calibrations, as they happen."""

from __future__ import annotations

from dataclasses import replace

from desk.models import Calibration, Job
from desk.services.event_files.cells import trade_cells
from desk.services.event_files.cells.plain_cells import cell_of, one_of, whole, words
from desk.services.event_files.cells.row_checks import (
    calibration_unit,
    drop_off_card,
    drop_off_times,
    frame_answered,
)
from desk.services.event_files.tables.columns import COURT, DAY, NOTE, TIME, one_in, until, whether
from desk.services.event_files.tables.spec import Column, Table
from desk.trade.play.needed_by import FIRST, LATER
from desk.trade.racquet.bed import HALVES
from desk.trade.racquet.frame_answer import FRAME_CHECKS, SOUND
from desk.trade.racquet.value_kinds import PRE_STRETCH

EXTRA_WORKS = ("none", "grommets", "grip", "overgrip", "grommets_and_grip", "grommets_and_overgrip")

DROPOFFS = Table(
    name="dropoffs",
    explanation=(
        "Racquets as they are dropped off, one a row; rows of one player at one time are one visit. "
        "Played by the command `day`, and read by the desk as a bulk drop-off."
    ),
    key=("time", "player", "racquet"),
    checks=(drop_off_card, drop_off_times, frame_answered),
    duplicate_help="a racquet once in a visit: number the player's racquets 1, 2, 3",
    record=Job,
    columns=(
        DAY,
        TIME,
        one_in("players", "player", "Code of the player", "P03", required=True),
        Column("racquet", "The player's number of the racquet", "1", whole(1, 99), required=True),
        one_in("frames", "frame", "Code of the frame", "F1", required=True),
        one_in("strings", "mains_string", "Code of the string in the mains", "TALUS125", required=True),
        one_in("strings", "crosses_string", "Code of the string in the crosses; empty for the mains' string"),
        Column("mains_tension", "Tension of the mains with its unit", "52.5 lb", trade_cells.tension, required=True),
        Column(
            "crosses_tension",
            "Tension of the crosses with its unit; empty for the mains' tension",
            "50.5 lb",
            trade_cells.tension,
        ),
        Column("pieces", "1 or 2 pieces of string (2 or 4 knots)", "2", whole(1, 2), default=2),
        *(
            Column(
                f"{half}_pre_stretch",
                f"Pre-stretch of the {half}, per cent",
                "0",
                cell_of(PRE_STRETCH, unit="%"),
                default=0,
            )
            for half in HALVES
        ),
        Column("stencil", "Stencil and its ink; empty for none", "", words(60), default=""),
        Column(
            "extra_work",
            "none, grommets, grip (its size), overgrip, grommets_and_grip or grommets_and_overgrip",
            "none",
            one_of(*EXTRA_WORKS),
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
        until("not_before", "String no earlier than HH:MM, or a day and a time"),
        whether("on_court", "Whether it comes from a match in play", default=False),
        replace(COURT, explanation="From which court, when on_court is yes", example="", required=False),
        Column(
            "matters",
            "first: of the player's racquets the one that matters most; later: not needed for the start of the match",
            "",
            one_of(FIRST, LATER),
            default="",
        ),
        whether(
            "as_fresh", "Whether the player wants it strung as shortly before it is needed as can be", default=False
        ),
        Column(
            "frame_check",
            "Answer of whoever looked the frame over: sound, worn (its grommets) or cracked; empty where nobody did. "
            "A cracked one is not strung and goes back to its owner; worn grommets need consent",
            SOUND,
            one_of(*FRAME_CHECKS),
            default="",
        ),
        Column(
            "found",
            "What was found on the frame, in your own words: it decides nothing; one that speaks of damage needs the "
            "answer in frame_check",
            "",
            words(300),
            default="",
        ),
        Column(
            "consent",
            "What the owner agreed to: a tension above the frame's range, a worn frame",
            "",
            words(300),
            default="",
        ),
        Column("brought_by", "Who brought them, where it was not the player", "Rosa Achterberg", words(80), default=""),
        NOTE,
    ),
)

CALIBRATIONS = Table(
    name="calibrations",
    explanation="Readings of the machines against a reference tension. Played by the command `day`.",
    key=("time", "machine", "reference"),
    checks=(calibration_unit,),
    record=Calibration,
    columns=(
        DAY,
        TIME,
        one_in("machines", "machine", "Code of the machine", "M1", required=True),
        Column("reference", "Tension that was set, with its unit", "20 kg", trade_cells.tension, required=True),
        Column("reading", "Tension that was measured, with its unit", "20.2 kg", trade_cells.tension, required=True),
        one_in("stringers", "by", "Code of the stringer who measured", "S1"),
    ),
)
