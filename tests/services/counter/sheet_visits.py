"""Visits of a sheet at the small desk, with one string and one frame."""

from desk.services.event_files import ScriptedDropOff, ScriptedHalf, ScriptedRacquet
from desk.trade.racquet.bed import Bed
from desk.trade.racquet.units import parse_tension
from tests import make
from tests.services.small_desk import SmallDesk


def bed(desk: SmallDesk, tension: str) -> Bed[ScriptedHalf]:
    return Bed.of(lambda _: ScriptedHalf(desk.string.code, parse_tension(tension)))


def racquet(desk: SmallDesk, number: int, **over: object) -> ScriptedRacquet:
    values = {
        "row": number + 1, "number": number, "frame_code": desk.frame.code, "bed": bed(desk, "52 lb"), "pieces": 2,
        "stencil": "", "extra_work": "none", "needed_by_kind": "match", "needed_by_at": None, "not_before_at": None,
        "on_court": False, "court_name": None, "as_fresh": False, "found": "", "note": "",
    }  # fmt: skip
    return ScriptedRacquet(**(values | over))


def visit(desk: SmallDesk, player_code: str, *racquets: ScriptedRacquet) -> ScriptedDropOff:
    return ScriptedDropOff(at=make.moment("Mon 10:00"), player_code=player_code, racquets=racquets, consent="")
