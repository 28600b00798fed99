"""The tables of frames, string, prices and house times."""

from __future__ import annotations

from desk.models import Frame, HouseTime, Price, Reel, StringType
from desk.services.event_files.cells.cell_texts import per_cent, with_unit
from desk.services.event_files.cells.plain_cells import cell_of, one_of, per_cent_as_basis_points, whole, words
from desk.services.event_files.cells.row_checks import price_of_string, set_length, tension_range
from desk.services.event_files.cells.trade_cells import gauge_mm, head_sq_in, house_key, length_cm, tension
from desk.services.event_files.tables.columns import called, choice, key_code, one_in, price_of
from desk.services.event_files.tables.spec import Column, Parse, Table
from desk.services.money import prices
from desk.services.string.string_list import MATERIALS
from desk.trade.racquet.bed import Bed
from desk.trade.racquet.reel_choice import SETS
from desk.trade.racquet.string_length import COUNTS
from desk.trade.racquet.value_kinds import HEAD_LENGTH_CM, HEAD_WIDTH_CM, HOUSE_MINUTES, REEL_M


def _measured(name: str, what: str, example: str, parse: Parse, stored: str, unit: str) -> Column:
    return Column(name, f"{what} with its unit", example, parse, stored=stored, write=with_unit(unit))


FRAMES = Table(
    name="frames",
    explanation="Frame models: head, pattern, and the tension range printed on the frame.",
    required=True,
    key=("code",),
    checks=(tension_range,),
    record=Frame,
    columns=(
        key_code("the frame", "F1"),
        called("Name", "Ostrel Drift 98"),
        _measured("head_size", "Head size", "98 sq in", head_sq_in, "head_sq_in", "sq in"),
        _measured(
            "head_length",
            "Inner length of the head, if measured,",
            "33.4 cm",
            length_cm(HEAD_LENGTH_CM),
            "head_length_cm",
            "cm",
        ),
        _measured(
            "head_width",
            "Inner width of the head, if measured,",
            "25.6 cm",
            length_cm(HEAD_WIDTH_CM),
            "head_width_cm",
            "cm",
        ),
        *(
            Column(half, f"Number of {half}", example, whole(COUNTS[half][0], COUNTS[half][-1]), required=True)
            for half, example in Bed("16", "19").items()
        ),
        *(
            Column(
                f"tension_{end}",
                f"{what} end of the printed tension range with its unit",
                example,
                tension,
                stored=None,
            )
            for end, what, example in (("low", "Lower", "50 lb"), ("high", "Upper", "60 lb"))
        ),
    ),
)

STRINGS = Table(
    name="strings",
    explanation="The strings, those that players bring among them.",
    required=True,
    key=("code",),
    record=StringType,
    columns=(
        key_code("the string", "TALUS125"),
        called("Name", "Corvel Talus"),
        _measured("gauge", "Thickness", "1.25 mm", gauge_mm, "gauge_mm", "mm"),
        Column("colour", "Colour", "grey", words(40), default=""),
        choice("material", "", MATERIALS, "polyester", required=True),
    ),
)

REELS = Table(
    name="reels",
    explanation="The reels and sets in stock when the event begins, one a row.",
    key=("code",),
    checks=(set_length,),
    record=Reel,
    columns=(
        key_code("the reel or set", "R01"),
        one_in("strings", "string", "Code of the string", "TALUS125", required=True, stored="string_type_id"),
        Column(
            "kind",
            "reel, set, or half_set: a half of a set, for mains or crosses",
            "reel",
            one_of("reel", *SETS),
            default="reel",
        ),
        Column("metres", "Metres on it at the beginning", "200", cell_of(REEL_M, unit="m"), required=True, stored=None),
        one_in("players", "owner", "Code of the player whose it is; empty for the desk's"),
        Column("place", "Where it is kept", "shelf A", words(), default=""),
        price_of("price", "What these metres cost; empty where nobody knows", "189.00"),
    ),
)

PRICES = Table(
    name="prices",
    explanation="The price list.",
    key=("kind", "string", "per"),
    checks=(price_of_string,),
    record=Price,
    columns=(
        choice("kind", "", prices.KINDS, "labour", required=True),
        one_in("strings", "string", "For kind string: its code; empty for every other string", stored="string_type_id"),
        Column("per", "job; for kind string: set or metre", "job", one_of("job", *prices.STRING_UNITS), default="job"),
        price_of("amount", "Amount in the event's currency", "18.00", required=True),
        Column(
            "tax_per_cent",
            "Tax within the price, per cent; empty for the event's",
            "19",
            per_cent_as_basis_points,
            stored="tax_basis_points",
            write=per_cent,
        ),
    ),
)

HOUSE_TIMES = Table(
    name="house_times",
    explanation="Minutes that the desk lead has set for a kind of job; all others are learned or default.",
    key=("key",),
    record=HouseTime,
    columns=(
        Column(
            "key",
            "Row of the table of bench times: open, medium or dense; half gut or gut; on court",
            "dense, half gut",
            house_key,
            required=True,
        ),
        Column("minutes", "Minutes at pace 100", "22", whole(HOUSE_MINUTES.low, HOUSE_MINUTES.high), required=True),
    ),
)

STORE_TABLES = (FRAMES, STRINGS, REELS, PRICES, HOUSE_TIMES)
