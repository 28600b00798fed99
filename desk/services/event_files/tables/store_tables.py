"""The tables of frames, string, prices and house times."""

from __future__ import annotations

from desk.services.event_files.cells import plain_cells, trade_cells
from desk.services.event_files.cells.row_checks import price_of_string, set_length, tension_range
from desk.services.event_files.tables.set_up_tables import code_column
from desk.services.event_files.tables.spec import Column, Table
from desk.trade.bed import Bed
from desk.trade.string_length import COUNTS
from desk.trade.value_kinds import HEAD_LENGTH_CM, HEAD_WIDTH_CM, HOUSE_MINUTES, REEL_M

FRAMES = Table(
    name="frames",
    explanation="Frame models: head, pattern, and the tension range printed on the frame.",
    required=True,
    key=("code",),
    checks=(tension_range,),
    columns=(
        code_column("the frame", "F1"),
        Column(name="name", explanation="Name", example="Ostrel Drift 98", parse=plain_cells.words(), required=True),
        Column(
            name="head_size",
            explanation="Head size with its unit",
            example="98 sq in",
            parse=trade_cells.head_sq_in,
        ),
        Column(
            name="head_length",
            explanation="Inner length of the head with its unit, if measured",
            example="33.4 cm",
            parse=trade_cells.length_cm(HEAD_LENGTH_CM.low, HEAD_LENGTH_CM.high),
        ),
        Column(
            name="head_width",
            explanation="Inner width of the head with its unit, if measured",
            example="25.6 cm",
            parse=trade_cells.length_cm(HEAD_WIDTH_CM.low, HEAD_WIDTH_CM.high),
        ),
        *(
            Column(
                name=half,
                explanation=f"Number of {half}",
                example=example,
                parse=plain_cells.whole(COUNTS[half][0], COUNTS[half][-1]),
                required=True,
            )
            for half, example in Bed("16", "19").items()
        ),
        Column(
            name="tension_low",
            explanation="Lower end of the printed tension range with its unit",
            example="50 lb",
            parse=trade_cells.tension,
        ),
        Column(
            name="tension_high",
            explanation="Upper end of the printed tension range with its unit",
            example="60 lb",
            parse=trade_cells.tension,
        ),
    ),
)

STRINGS = Table(
    name="strings",
    explanation="The strings, those that players bring among them.",
    required=True,
    key=("code",),
    columns=(
        code_column("the string", "TALUS125"),
        Column(name="name", explanation="Name", example="Corvel Talus", parse=plain_cells.words(), required=True),
        Column(name="gauge", explanation="Thickness with its unit", example="1.25 mm", parse=trade_cells.gauge_mm),
        Column(name="colour", explanation="Colour", example="grey", parse=plain_cells.words(40), default=""),
        Column(
            name="material",
            explanation="polyester, nylon_multifilament, nylon_monofilament, natural_gut, aramid or other",
            example="polyester",
            parse=plain_cells.one_of(
                "polyester", "nylon_multifilament", "nylon_monofilament", "natural_gut", "aramid", "other"
            ),
            required=True,
        ),
    ),
)

REELS = Table(
    name="reels",
    explanation="The reels and sets in stock when the event begins, one a row.",
    key=("code",),
    checks=(set_length,),
    columns=(
        code_column("the reel or set", "R01"),
        Column(
            name="string",
            explanation="Code of the string",
            example="TALUS125",
            parse=plain_cells.code,
            required=True,
            refers="strings",
        ),
        Column(
            name="kind",
            explanation="reel or set",
            example="reel",
            parse=plain_cells.one_of("reel", "set"),
            default="reel",
        ),
        Column(
            name="metres",
            explanation="Metres on it at the beginning",
            example="200",
            parse=plain_cells.number(REEL_M.low, REEL_M.high, unit="m"),
            required=True,
        ),
        Column(
            name="owner",
            explanation="Code of the player whose it is; empty for the desk's",
            example="",
            parse=plain_cells.code,
            refers="players",
        ),
        Column(name="place", explanation="Where it is kept", example="shelf A", parse=plain_cells.words(), default=""),
    ),
)

PRICES = Table(
    name="prices",
    explanation="The price list.",
    key=("kind", "string", "per"),
    checks=(price_of_string,),
    columns=(
        Column(
            name="kind",
            explanation="labour, on_court, string, extra_work or stencil",
            example="labour",
            parse=plain_cells.one_of("labour", "on_court", "string", "extra_work", "stencil"),
            required=True,
        ),
        Column(
            name="string",
            explanation="For kind string: its code; empty for every other string",
            example="",
            parse=plain_cells.code,
            refers="strings",
        ),
        Column(
            name="per",
            explanation="job; for kind string: set or metre",
            example="job",
            parse=plain_cells.one_of("job", "set", "metre"),
            default="job",
        ),
        Column(
            name="amount",
            explanation="Amount in the event's currency",
            example="18.00",
            parse=plain_cells.money,
            required=True,
        ),
        Column(
            name="tax_per_cent",
            explanation="Tax within the price, per cent; empty for the event's",
            example="19",
            parse=plain_cells.per_cent_as_basis_points,
        ),
    ),
)

HOUSE_TIMES = Table(
    name="house_times",
    explanation="Minutes that the desk lead has set for a kind of job; all others are learned or default.",
    key=("key",),
    columns=(
        Column(
            name="key",
            explanation="Row of the table of bench times: open, medium or dense; half gut or gut; on court",
            example="dense, half gut",
            parse=trade_cells.house_key,
            required=True,
        ),
        Column(
            name="minutes",
            explanation="Minutes at pace 100",
            example="22",
            parse=plain_cells.whole(HOUSE_MINUTES.low, HOUSE_MINUTES.high),
            required=True,
        ),
    ),
)
