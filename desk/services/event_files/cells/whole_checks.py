"""What must hold between the rows of one table, or between tables."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from itertools import pairwise
from typing import Any

from desk.errors import InputFault
from desk.services.event_files.cells.understanding import a_known_one
from desk.services.event_files.raw import RawTable
from desk.services.event_files.tables.spec import Row

Rows = dict[str, tuple[Row, ...]]
Raws = dict[str, RawTable]


def whole_faults(rows: Rows, raws: Raws) -> Iterator[InputFault]:
    """Yield the faults that a single row does not show."""
    for check in CHECKS:
        yield from check(rows, raws)


def _sound(rows: Iterable[Row], *columns: str) -> Iterator[Row]:
    return (row for row in rows if all(row.get(column) is not None for column in columns))


def _hours_apart(table: str, owner: str) -> Callable[[Rows, Raws], Iterator[InputFault]]:
    """The hours of one OWNER do not overlap."""

    def check(rows: Rows, raws: Raws) -> Iterator[InputFault]:
        spans: dict[Any, list[Row]] = defaultdict(list)
        for row in _sound(rows[table], owner, "from", "to"):
            spans[row[owner]].append(row)
        for of_one in spans.values():
            of_one.sort(key=lambda row: row["from"])
            for before, after in pairwise(of_one):
                if after["from"] < before["to"] and after["from"] != before["from"]:
                    yield InputFault(
                        where=raws[table].where(after.number, "from"),
                        found=f"hours that overlap those of row {before.number}",
                        expected="hours that begin when the others have ended",
                    )

    return check


def match_places(rows: Rows, raws: Raws) -> Iterator[InputFault]:
    """Each place in the order of a court is taken once, and the first match has a time."""
    courts: dict[Any, list[Row]] = defaultdict(list)
    for row in _sound(rows["matches"], "day", "court", "position", "start_kind"):
        courts[row["day"], row["court"]].append(row)
    for order in courts.values():
        order.sort(key=lambda row: row["position"])
        if order[0]["start_kind"] == "followed_by":
            yield InputFault(
                where=raws["matches"].where(order[0].number, "start_kind"),
                found="followed_by on the first match of its court and day",
                expected="at or not_before, with the time of start",
            )
        for before, after in pairwise(order):
            if before["position"] == after["position"]:
                yield InputFault(
                    where=raws["matches"].where(after.number, "position"),
                    found=f'"{after["position"]}", as in row {before.number}',
                    expected="each place on a court and day once",
                )


def match_sides(rows: Rows, raws: Raws) -> Iterator[InputFault]:
    """A side names players that exist, or a match that is played before."""
    players = dict.fromkeys(row["code"] for row in rows["players"] if row.get("code"))
    matches = {row.get("code"): row for row in rows["matches"] if row.get("code")}
    for row in rows["matches"]:
        for name in ("side1", "side2"):
            side = row.get(name)
            if side is None:
                continue
            where = raws["matches"].where(row.number, name)
            for code in side.players:
                if players and code not in players:
                    found, expected = f'"{code}"', a_known_one("players", players, code)
                    yield InputFault(where=where, found=found, expected=expected)
            if side.winner_of is not None and side.winner_of != row.get("code"):
                yield from _earlier(row, side.winner_of, matches, where)


def _earlier(row: Row, feeder_code: str, matches: dict[Any, Row], where: str) -> Iterator[InputFault]:
    feeder = matches.get(feeder_code)
    if feeder is None:
        expected = a_known_one("matches", matches, feeder_code)
        yield InputFault(where=where, found=f'winner of "{feeder_code}"', expected=expected)
    elif _order(feeder) is not None and _order(row) is not None and _order(feeder) >= _order(row):
        yield InputFault(
            where=where,
            found=f"winner of {feeder_code}, which is not played before",
            expected="a match of an earlier day, or of the same day that stands in an earlier row",
        )


def _order(row: Row) -> Any:
    # Rows of one day are taken in the order of the file: this also rules out every circle.
    return None if row.get("day") is None else (row["day"], row.number)


_SUBJECTS = {"machine": "machines", "stringer": "stringers", "match": "matches"}


def _incident_subjects(rows: Rows, raws: Raws) -> Iterator[InputFault]:
    """The machine, stringer or match of an incident exists."""
    codes = {table: [row["code"] for row in rows[table] if row.get("code")] for table in _SUBJECTS.values()}
    sets = {table: set(known) for table, known in codes.items()}
    for row in _sound(rows["incidents"], "what", "which"):
        table = _SUBJECTS.get(row["what"].partition("_")[0])
        if table and (codes[table] or table == "matches") and row["which"] not in sets[table]:
            where = raws["incidents"].where(row.number, "which")
            expected = a_known_one(table, codes[table], row["which"])
            yield InputFault(where=where, found=f'"{row["which"]}"', expected=expected)


def one_frame_each(rows: Iterable[Row], raw: RawTable) -> Iterator[InputFault]:
    """A numbered racquet of a player has one frame all event."""
    first: dict[Any, Row] = {}
    for row in _sound(rows, "player", "racquet", "frame"):
        known = first.setdefault((row["player"], row["racquet"]), row)
        if known["frame"] != row["frame"]:
            yield InputFault(
                where=raw.where(row.number, "frame"),
                found=f'"{row["frame"]}" for racquet {row["racquet"]} of {row["player"]}',
                expected=f'"{known["frame"]}" as in row {known.number}, or another racquet number',
            )


def _frames_of_racquets(rows: Rows, raws: Raws) -> Iterator[InputFault]:
    yield from one_frame_each(rows["dropoffs"], raws["dropoffs"])


CHECKS = (
    _hours_apart("shifts", "stringer"),
    _hours_apart("service_hours", "machine"),
    match_places,
    match_sides,
    _incident_subjects,
    _frames_of_racquets,
)
