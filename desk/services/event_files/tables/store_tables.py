"""The tables of frames, string, prices and house times."""

from __future__ import annotations

from desk.services.event_files.cells import plain_cells, trade_cells
from desk.services.event_files.cells.row_checks import price_of_string, set_length, tension_range
from desk.services.event_files.tables.set_up_tables import code_column
from desk.services.event_files.tables.spec import Column, Table
from desk.trade.racquet.bed import Bed
from desk.trade.racquet.reel_choice import SETS
from desk.trade.racquet.string_length import COUNTS
from desk.trade.racquet.value_kinds import HEAD_LENGTH_CM, HEAD_WIDTH_CM, HOUSE_MINUTES, REEL_M

FRAMES = Table(
    name="frames",
    explanation="Frame models: head, pattern, and the tension range printed on the frame.",
    required=True,
    key=("code",),
    checks=(tension_range,),
    columns=(
        code_column("the frame", "F1"),
        Column("name", "Name", "Ostrel Drift 98", plain_cells.words(), required=True),
        Column("head_size", "Head size with its unit", "98 sq in", trade_cells.head_sq_in),
        Column(
            "head_length",
            "Inner length of the head with its unit, if measured",
            "33.4 cm",
            trade_cells.length_cm(HEAD_LENGTH_CM.low, HEAD_LENGTH_CM.high),
        ),
        Column(
            "head_width",
            "Inner width of the head with its unit, if measured",
            "25.6 cm",
            trade_cells.length_cm(HEAD_WIDTH_CM.low, HEAD_WIDTH_CM.high),
        ),
        *(
            Column(
                half, f"Number of {half}", example, plain_cells.whole(COUNTS[half][0], COUNTS[half][-1]), required=True
            )
            for half, example in Bed("16", "19").items()
        ),
        Column("tension_low", "Lower end of the printed tension range with its unit", "50 lb", trade_cells.tension),
        Column("tension_high", "Upper end of the printed tension range with its unit", "60 lb", trade_cells.tension),
    ),
)

STRINGS = Table(
    name="strings",
    explanation="The strings, those that players bring among them.",
    required=True,
    key=("code",),
    columns=(
        code_column("the string", "TALUS125"),
        Column("name", "Name", "Corvel Talus", plain_cells.words(), required=True),
        Column("gauge", "Thickness with its unit", "1.25 mm", trade_cells.gauge_mm),
        Column("colour", "Colour", "grey", plain_cells.words(40), default=""),
        Column(
            "material",
            "polyester, nylon_multifilament, nylon_monofilament, natural_gut, aramid or other",
            "polyester",
            plain_cells.one_of(
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
        Column("string", "Code of the string", "TALUS125", plain_cells.code, required=True, refers="strings"),
        Column(
            "kind",
            "reel, set, or half_set: a half of a set, for mains or crosses",
            "reel",
            plain_cells.one_of("reel", *SETS),
            default="reel",
        ),
        Column(
            "metres",
            "Metres on it at the beginning",
            "200",
            plain_cells.number(REEL_M.low, REEL_M.high, unit="m"),
            required=True,
        ),
        Column("owner", "Code of the player whose it is; empty for the desk's", "", plain_cells.code, refers="players"),
        Column("place", "Where it is kept", "shelf A", plain_cells.words(), default=""),
        Column("price", "What these metres cost; empty where nobody knows", "189.00", plain_cells.money),
    ),
)

PRICES = Table(
    name="prices",
    explanation="The price list.",
    key=("kind", "string", "per"),
    checks=(price_of_string,),
    columns=(
        Column(
            "kind",
            "labour, on_court, string, extra_work or stencil",
            "labour",
            plain_cells.one_of("labour", "on_court", "string", "extra_work", "stencil"),
            required=True,
        ),
        Column(
            "string", "For kind string: its code; empty for every other string", "", plain_cells.code, refers="strings"
        ),
        Column(
            "per", "job; for kind string: set or metre", "job", plain_cells.one_of("job", "set", "metre"), default="job"
        ),
        Column("amount", "Amount in the event's currency", "18.00", plain_cells.money, required=True),
        Column(
            "tax_per_cent",
            "Tax within the price, per cent; empty for the event's",
            "19",
            plain_cells.per_cent_as_basis_points,
        ),
    ),
)

HOUSE_TIMES = Table(
    name="house_times",
    explanation="Minutes that the desk lead has set for a kind of job; all others are learned or default.",
    key=("key",),
    columns=(
        Column(
            "key",
            "Row of the table of bench times: open, medium or dense; half gut or gut; on court",
            "dense, half gut",
            trade_cells.house_key,
            required=True,
        ),
        Column(
            "minutes",
            "Minutes at pace 100",
            "22",
            plain_cells.whole(HOUSE_MINUTES.low, HOUSE_MINUTES.high),
            required=True,
        ),
    ),
)
