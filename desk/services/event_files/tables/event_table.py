"""The settings of the event."""

from __future__ import annotations

from desk.services.event_files.cells import plain_cells
from desk.services.event_files.cells.row_checks import between_matches
from desk.services.event_files.tables.set_up_tables import name_column
from desk.services.event_files.tables.spec import Column, Table

EVENT = Table(
    name="event",
    explanation="The settings of the event: event.toml, or a sheet with the columns setting and value.",
    required=True,
    columns=(
        Column(
            name="slug",
            explanation="Short name for addresses and commands",
            example="harbour-week",
            parse=plain_cells.slug,
            required=True,
        ),
        name_column("Name of the event", "Harbour Week"),
        Column(
            name="time_zone",
            explanation="Time zone of every time in these tables",
            example="Europe/Lisbon",
            parse=plain_cells.zone,
            required=True,
        ),
        Column(
            name="currency",
            explanation="Currency of every amount",
            example="EUR",
            parse=plain_cells.currency,
            required=True,
        ),
        Column(name="town", explanation="Town", example="Port Almery", parse=plain_cells.words(), default=""),
        Column(
            name="desk_place",
            explanation="Where players find the desk",
            example="Hall 2, beside the practice courts",
            parse=plain_cells.words(),
            default="",
        ),
        Column(
            name="tax_per_cent",
            explanation="Tax within the prices, per cent",
            example="19",
            parse=plain_cells.per_cent_as_basis_points,
            default=0,
        ),
        Column(
            name="target_minutes",
            explanation="Time target for a job, minutes",
            example="30",
            parse=plain_cells.whole(5, 240),
            default=30,
        ),
        Column(
            name="lead_minutes",
            explanation="Minutes before play that a racquet is needed",
            example="30",
            parse=plain_cells.whole(0, 600),
            default=30,
        ),
        Column(
            name="on_court_minutes",
            explanation="Minutes from drop-off until a racquet from a match in play is needed",
            example="15",
            parse=plain_cells.whole(1, 240),
            default=15,
        ),
        Column(
            name="rest_minutes",
            explanation="Least minutes between two matches of one player",
            example="60",
            parse=plain_cells.whole(0, 1440),
            default=60,
        ),
        Column(
            name="between_least_minutes",
            explanation="Minutes between two matches on a court, at the least (19 of 20 take longer)",
            example="15",
            parse=plain_cells.whole(0, 120),
            default=15,
        ),
        Column(
            name="between_median_minutes",
            explanation="Minutes between two matches on a court, as a rule (half take longer)",
            example="23",
            parse=plain_cells.whole(0, 240),
            default=23,
        ),
        Column(
            name="match_length_per_cent",
            explanation="Length of matches before any is played, per cent of the usual (grass 96, clay 103)",
            example="100",
            parse=plain_cells.whole(50, 150),
            default=100,
        ),
        Column(
            name="early_call_per_cent",
            explanation="How often, per cent, a match may be called before its needed-by time",
            example="5",
            parse=plain_cells.whole(1, 50),
            default=5,
        ),
        Column(
            name="promise_per_cent",
            explanation="How many promises in a hundred are to be kept",
            example="90",
            parse=plain_cells.whole(50, 99),
            default=90,
        ),
        Column(
            name="stiffness_tolerance",
            explanation="Units of stiffness within which sisters must be",
            example="1",
            parse=plain_cells.number(0.1, 20),
            default=1.0,
        ),
        Column(
            name="calibration_tolerance_lb",
            explanation="Pounds within which a machine must pull",
            example="1",
            parse=plain_cells.number(0.1, 10),
            default=1.0,
        ),
        Column(
            name="calibration_required",
            explanation="Whether a machine needs a calibration before each day's work: yes or no",
            example="yes",
            parse=plain_cells.yes_no,
            default=True,
        ),
        Column(
            name="board_names",
            explanation="Names on the players' board: full, initials or tag",
            example="full",
            parse=plain_cells.one_of("full", "initials", "tag"),
            default="full",
        ),
    ),
    checks=(between_matches,),
)
