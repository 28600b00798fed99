"""String, tensions and calibration of the invented event: the stock tables of its full report."""

from datetime import date, datetime, timedelta
from statistics import fmean
from typing import Any

from exports.rows import stock
from exports.rows.jobs import JobRow
from tests.exports import racquets
from tests.exports.make import rows_of
from tests.exports.racquets import STRINGERS, STRINGS

MATERIALS = {"Polyester": "polyester", "Nylon": "nylon multifilament", "Natural": "natural gut"}


def stock_tables(days: tuple[date, ...], strung: list[JobRow]) -> dict[str, Any]:
    """The tables of string, tensions and machines for those jobs."""
    reels = [_reel(number, name, strung) for number, name in enumerate(STRINGS, 1)]
    metres = [job.string_m for job in strung if job.mains == job.crosses and job.string_m]
    pattern = {"mean_m": fmean(metres), "least_m": min(metres), "most_m": max(metres)}
    runs_out_on = days[-1] + timedelta(days=1)
    tensions = {
        part: sorted((getattr(job, f"{part}_tension") for job in strung), key=lambda tension: tension.lb)
        for part in ("mains", "crosses")
    }
    return {
        "string": tuple(map(_string, reels)),
        "metres_by_pattern": (stock.PatternRow(pattern="16 × 19", racquets=len(metres), **pattern),),
        "reels": tuple(reels),
        "to_order": rows_of(
            stock.OrderRow,
            "string on_hand_m use_per_day_m expected_need_m reel_length_m order_reels runs_out_on note",
            (STRINGS[0], 64.2, 255.0, 765.0, 200.0, 4, runs_out_on, "delivery takes two days"),
        ),
        "tensions": rows_of(
            stock.TensionRow,
            "group part racquets lowest mean highest",
            *(
                ("all", part, len(strung), found[0], racquets.pounds(fmean(one.lb for one in found)), found[-1])
                for part, found in tensions.items()
            ),
        ),
        "materials": _materials(strung),
        "calibration": _calibration(days),
    }


def _reel(number: int, name: str, strung: list[JobRow]) -> stock.ReelRow:
    done = [job for job in strung if job.mains == name]
    used, waste = racquets.metres(done), 0.3 * len(done)
    opening = 200.0 * (1 + (used + waste) // 200)
    return stock.ReelRow(
        reel=f"Reel {number}",
        string=name,
        owner="the desk" if number < 4 else "Alma Arden",
        opening_m=opening,
        used_m=round(used, 1),
        waste_m=round(waste, 1),
        closing_m=round(opening - used - waste - 2.5 * (number == 3), 1),
        measured=number != 4,
        racquets=len(done),
    )


def _materials(strung: list[JobRow]) -> tuple[stock.MaterialRow, ...]:
    pairs: dict[tuple[str, str], list[JobRow]] = {}
    for job in strung:
        pairs.setdefault((_material(job.mains), _material(job.crosses)), []).append(job)
    most_first = sorted(pairs.items(), key=lambda item: -len(item[1]))
    return rows_of(
        stock.MaterialRow,
        "mains crosses hybrid racquets players string_m",
        *(
            (*pair, pair[0] != pair[1], len(done), len({job.player for job in done}), racquets.metres(done))
            for pair, done in most_first
        ),
    )


def _calibration(days: tuple[date, ...]) -> tuple[stock.CalibrationRow, ...]:
    return tuple(
        stock.CalibrationRow(
            machine=f"Bench {number + 1}",
            read_at=datetime(day.year, day.month, day.day, 7, 30 + number),
            read_by=STRINGERS[number],
            asked=racquets.pounds(asked),
            measured=racquets.pounds(asked + (1.5 if number == 2 else 0.2 * number - 0.3)),
            tolerance=racquets.pounds(1),
            within=number != 2,
            action="out of service, adjusted, read again at 08:20" if number == 2 else "",
        )
        for day in days
        for number in range(len(STRINGERS))
        for asked in (50.0, 60.0)
    )


def _string(reel: stock.ReelRow) -> stock.StringRow:
    """The string of a reel; it cost 1.00 a metre, and of players' own nobody knows."""
    ours = reel.owner == "the desk"
    used, waste, left = (round(100 * metres) for metres in (reel.used_m, reel.waste_m, reel.closing_m))
    worth = {"opened_minor": 20_000, "used_minor": used, "waste_minor": waste, "left_minor": left}
    return stock.StringRow(
        string=reel.string,
        owner="desk" if ours else "players",
        racquets=reel.racquets,
        reel_m=reel.used_m,
        sets=2.5,
        reels_opened=1,
        sets_opened=3,
        waste_m=reel.waste_m,
        left_m=reel.closing_m,
        left_sets=4.0,
        currency="EUR",
        **(worth if ours else dict.fromkeys(worth)),
        without_price="" if ours else "players’ own",
    )


def _material(string: str) -> str:
    return next(name for start, name in MATERIALS.items() if start in string.split(maxsplit=1)[0])
