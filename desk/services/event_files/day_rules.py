"""What the days' own rules would refuse or ask about later, said when an event is imported."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

from desk.errors import InputFault
from desk.services.event_files.cells.whole_checks import Raws, Rows
from desk.services.event_files.tables.spec import Row
from desk.trade.event.event_time import EventClock
from desk.trade.racquet.bed import HALVES
from desk.trade.racquet.frame_answer import contradicts, needs_consent, spoken_of
from desk.trade.racquet.frame_check import check_lowest


def remarks(rows: Rows, raws: Raws, clock: EventClock) -> list[InputFault]:
    """Return what stands in the way of rows that are otherwise sound, each with what would help."""
    return [remark for rule in RULES for remark in rule(rows, raws, clock)]


def _called(rows: Rows) -> dict[Any, str]:
    """Return the name of each player with the code behind it, by which the tables name them."""
    return {player["code"]: f"{player['name']} ({player['code']})" for player in rows["players"]}


def _racquet(row: Row, called: dict[Any, str]) -> str:
    return f"racquet {row['racquet']} of {called[row['player']]}"


def _above_range(rows: Rows, raws: Raws, clock: EventClock) -> Iterator[InputFault]:
    """A tension above the range printed on the frame is strung with the owner's consent only."""
    high = {frame["code"]: frame["tension_high"] for frame in rows["frames"]}
    agreed = {(row["time"], row["player"]) for row in rows["dropoffs"] if row["consent"]}
    called = _called(rows)
    for row in rows["dropoffs"]:
        limit, asked = high.get(row["frame"]), [row["mains_tension"], row["crosses_tension"] or row["mains_tension"]]
        top = max(asked, key=lambda tension: tension.in_lb)
        if limit is not None and top.in_lb > limit.in_lb and (row["time"], row["player"]) not in agreed:
            yield InputFault(
                where=raws["dropoffs"].where(row.number, "consent"),
                found=f"none for {top} on {_racquet(row, called)}, above the {limit} printed on {row['frame']}",
                expected="the owner's consent, or a tension within the range",
            )


def _frame_unanswered(rows: Rows, raws: Raws, clock: EventClock) -> Iterator[InputFault]:
    """A note that speaks of more than the answer is asked back; worn grommets are strung with consent only."""
    agreed, called = {(row["time"], row["player"]) for row in rows["dropoffs"] if row["consent"]}, _called(rows)
    for row in rows["dropoffs"]:
        answer, note, where = row["frame_check"], row["found"], raws["dropoffs"].where(row.number, "frame_check")
        if contradicts(answer, note):
            yield InputFault(where=where, found=f"{answer} beside the note “{note}”", expected="an answer that fits it")
        if (row["time"], row["player"]) in agreed:
            continue
        if needs_consent(answer, row["extra_work"]):
            where = raws["dropoffs"].where(row.number, "consent")
            yield InputFault(
                where=where,
                found=f"none for worn grommets on {_racquet(row, called)}",
                expected="the owner's consent, or new grommets",
            )
        elif not answer and spoken_of(note):
            yield InputFault(
                where=where, found=f"no answer beside the note “{note}”", expected="sound, worn or cracked"
            )


def _far_below_range(rows: Rows, raws: Raws, clock: EventClock) -> Iterator[InputFault]:
    """A tension far below the range printed on the frame may be meant in the other unit, and is asked back."""
    frames = {frame["code"]: (frame["tension_low"], frame["tension_high"]) for frame in rows["frames"]}
    for row in rows["dropoffs"]:
        low, high = frames.get(row["frame"], (None, None))
        if low is None or high is None:
            continue
        asked = {f"{half}_tension": row[f"{half}_tension"] or row["mains_tension"] for half in HALVES}
        found = check_lowest(asked.values(), low, high)
        if found.asks_back:
            column, tension = min(asked.items(), key=lambda one: one[1].in_kg)
            meant = f"{found.meant}, if that was meant" if found.meant else "a tension that is meant so low"
            yield InputFault(
                where=raws["dropoffs"].where(row.number, column if row[column] else "mains_tension"),
                found=f"{tension}, below the {low} to {high} printed on {row['frame']}",
                expected=f"{meant}; ask the player",
            )


def _at_the_desk_already(rows: Rows, raws: Raws, clock: EventClock) -> Iterator[InputFault]:
    """A racquet comes again only after it was strung: not within the target time of one racquet."""
    within = timedelta(minutes=rows["event"][0]["target_minutes"])
    before: dict[Any, Row] = {}
    called = _called(rows)
    for row in sorted(rows["dropoffs"], key=lambda row: row["time"]):
        last = before.get((row["player"], row["racquet"]))
        before[row["player"], row["racquet"]] = row
        if last is not None and row["time"] - last["time"] < within:
            minutes = (row["time"] - last["time"]) // timedelta(minutes=1)
            yield InputFault(
                where=raws["dropoffs"].where(row.number, "racquet"),
                found=f"{_racquet(row, called)}, {minutes} min after row {last.number} brought it",
                expected="another racquet, or a time when it has been strung",
            )


def _two_matches_at_once(rows: Rows, raws: Raws, clock: EventClock) -> Iterator[InputFault]:
    """Nobody plays two matches that begin at one time."""
    matches: dict[Any, list[Row]] = defaultdict(list)
    for row in rows["matches"]:
        for side in (row["side1"], row["side2"]):
            for player in side.players if row["start"] is not None else ():
                matches[player, row["day"], row["start"]].append(row)
    called = _called(rows)
    for (player, _, start), both in matches.items():
        for row in both[1:]:
            words, at = row["start_kind"].replace("_", " "), f"{clock.local(start):%H:%M}"
            yield InputFault(
                where=raws["matches"].where(row.number, "start"),
                found=f"{called[player]} in {both[0]['code']} and {row['code']}, both {words} {at}",
                expected="one match of a player at a time",
            )


def _own_string_without_reel(rows: Rows, raws: Raws, clock: EventClock) -> Iterator[InputFault]:
    """String of a player is cut from a reel or set of theirs, where it does not come with the racquet."""
    kept = {(reel["owner"], reel["string"]) for reel in rows["reels"] if reel["owner"]}
    called = _called(rows)
    for row in rows["dropoffs"]:
        strings = {half: row[f"{half}_string"] or row["mains_string"] for half in HALVES if half in row["own_string"]}
        for string in dict.fromkeys(strings.values()):
            if (row["player"], string) not in kept:
                yield InputFault(
                    where=raws["dropoffs"].where(row.number, "own_string"),
                    found=f"{called[row['player']]}'s own {string}, no reel or set of which is in the table reels",
                    expected="a row in reels, or the string in the bag with the racquet",
                )


RULES = (
    _above_range,
    _frame_unanswered,
    _far_below_range,
    _at_the_desk_already,
    _two_matches_at_once,
    _own_string_without_reel,
)
