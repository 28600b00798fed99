"""Figures of string: used, wasted, to order."""

from exports.report import UsageReport
from exports.rows.stock import OrderRow, StringRow
from exports.summary.figure import Figure, listed

NAMED = 4
"""Strings, or orders, that a line of the first page names before it says how many more there are."""


def supplies(report: UsageReport) -> tuple[Figure, ...]:
    """String in metres and sets, the desk's and players' apart, and what to order."""
    s = report.summary
    desk = [row for row in report.string if row.owner == "desk"]
    theirs = [row for row in report.string if row.owner == "players"]
    order = [f"{_counted(row)} {row.string}" for row in report.to_order]
    return (
        Figure(
            "string_desk_m",
            "The desk’s string",
            sum(row.reel_m for row in desk),
            measure="m",
            note=_string_words(desk),
            definition="metres off the desk's reels in racquets; its sets are counted as sets",
        ),
        Figure(
            "string_players_m",
            "Players’ string",
            sum(row.reel_m for row in theirs),
            measure="m",
            note=_string_words(theirs),
            definition="metres off players' reels in racquets; sets, and what came with a racquet, are counted as sets",
        ),
        Figure("waste_m", "Wasted", s.waste_m, measure="m"),
        Figure(
            "to_order",
            "To order",
            sum(row.order_reels for row in report.to_order),
            note=_short_list(order) or "nothing",
            alert=bool(order),
            definition="reels, sets or half sets of the desk's own string, for what waits and the matches to come",
        ),
    )


def _string_words(rows: list[StringRow]) -> str:
    """How many sets in all, then the strings that most went of, each in metres and sets."""
    sets = sum(row.sets for row in rows)
    used = sorted((row for row in rows if row.reel_m or row.sets), key=lambda row: -(row.reel_m + 12 * row.sets))
    in_all = f"and {_sets(sets)}" if sets else ""
    each = _short_list([f"{row.string} {listed(_metres(row.reel_m), _sets(row.sets))}" for row in used], "; ")
    return ": ".join(words for words in (in_all, each) if words)


def _counted(row: OrderRow) -> str:
    return f"{row.order_reels} {row.piece}{'' if row.order_reels == 1 else 's'}"


def _metres(metres: float) -> str:
    return f"{metres:,.1f} m" if metres else ""


def _sets(sets: float) -> str:
    return f"{sets:g} {'set' if sets == 1 else 'sets'}" if sets else ""


def _short_list(words: list[str], between: str = ", ") -> str:
    more = [f"{len(words) - NAMED} more"] if len(words) > NAMED else []
    return between.join([*words[:NAMED], *more])
