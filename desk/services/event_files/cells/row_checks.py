"""What must hold between the cells of one row."""

from __future__ import annotations

from collections.abc import Iterator

from desk.services.event_files.tables.spec import Row, RowCheck, RowFault
from desk.trade.racquet.frame_answer import CRACKED, spoken_of
from desk.trade.racquet.reel_choice import LONGEST_SET_M, SET


def in_order(first: str, last: str) -> RowCheck:
    """The time in column LAST is after the one in FIRST."""

    def check(row: Row) -> Iterator[RowFault]:
        if row[first] >= row[last]:
            expected = f"a time after {first} (a shift past midnight ends at 24:30, not at 00:30)"
            yield RowFault(last, f"a time that is not after {first}", expected)

    return check


def check_interval(row: Row) -> Iterator[RowFault]:
    """A check by interval has one."""
    if row["every_racquets"] is None and row["every_hours"] is None:
        yield RowFault("every_racquets", "nothing", "racquets or hours, or both")


def between_matches(row: Row) -> Iterator[RowFault]:
    """The median of the changeovers is not below their least."""
    least, median = row["between_least_minutes"], row["between_median_minutes"]
    if median < least:
        yield RowFault("between_median_minutes", f'"{median}"', f"at least between_least_minutes, {least}")


def tension_range(row: Row) -> Iterator[RowFault]:
    """A frame's printed range has both ends, in one unit, the lower first."""
    low, high = row["tension_low"], row["tension_high"]
    if (low is None) != (high is None):
        missing = "tension_low" if low is None else "tension_high"
        yield RowFault(missing, "nothing", "both ends of the printed range, or neither")
    elif low is not None and low.unit != high.unit:
        yield RowFault("tension_high", f'"{high}"', f"the unit of tension_low, {low.unit}")
    elif low is not None and low.value > high.value:
        yield RowFault("tension_high", f'"{high}"', f"at least tension_low, {low}")


def set_length(row: Row) -> Iterator[RowFault]:
    """A set is one racquet's worth of string, a half set that of its mains or crosses."""
    most = LONGEST_SET_M.get(row["kind"])
    if most is not None and row["metres"] > most:
        kind, usual, other = ("set", 12, "a reel") if row["kind"] == SET else ("half set", 6.1, "a set")
        yield RowFault(
            "metres", f'"{row["metres"]:g}"', f"at most {most:g} for a {kind} ({usual:g} is usual); is it {other}?"
        )


def price_of_string(row: Row) -> Iterator[RowFault]:
    """Only a price of kind string names a string, and only it may be by the set or by the metre."""
    if row["kind"] != "string" and row["string"]:
        yield RowFault("string", f'"{row["string"]}"', f"nothing: a price of kind {row['kind']} is for every string")
    if (row["kind"] == "string") == (row["per"] == "job"):
        expected = "set or metre" if row["kind"] == "string" else "job"
        yield RowFault("per", f'"{row["per"]}"', f"{expected} for a price of kind {row['kind']}")


def match_start(row: Row) -> Iterator[RowFault]:
    """A match at or not before a time has one; one that follows has none."""
    if row["start_kind"] == "followed_by" and row["start"] is not None:
        yield RowFault("start", "a time", "nothing for a match that is followed_by; or start_kind at or not_before")
    if row["start_kind"] != "followed_by" and row["start"] is None:
        yield RowFault("start", "nothing", f"the time for a match of start_kind {row['start_kind']}")


def match_sides(row: Row) -> Iterator[RowFault]:
    """Singles have one player a side, doubles two; nobody plays themselves."""
    size = 2 if row["format"] == "doubles" else 1
    for name in ("side1", "side2"):
        players = row[name].players
        if players and len(players) != size:
            yield RowFault(name, f"{len(players)} players", f"{size} in the format {row['format']}")
        if row[name].winner_of == row["code"]:
            yield RowFault(name, f"winner of {row['code']}", "an earlier match than this one")
    for player in sorted(set(row["side1"].players) & set(row["side2"].players)):
        yield RowFault("side2", f'"{player}"', "another player: this one is on side1")


def drop_off_card(row: Row) -> Iterator[RowFault]:
    """One unit on a card, two pieces for a hybrid, a court only from a match in play."""
    mains, crosses = row["mains_tension"], row["crosses_tension"]
    if crosses is not None and crosses.unit != mains.unit:
        yield RowFault("crosses_tension", f'"{crosses}"', f"the unit of mains_tension, {mains.unit}")
    if row["pieces"] == 1 and row["crosses_string"] not in (None, row["mains_string"]):
        yield RowFault("pieces", "1", "2: a hybrid of two strings is always two-piece")
    elif row["pieces"] == 1 and len(row["own_string"]) == 1:
        yield RowFault("pieces", "1", "2: string of the player and of the desk is always two-piece")
    if row["court"] and not row["on_court"]:
        yield RowFault("court", f'"{row["court"]}"', "on_court yes, or no court")


def drop_off_times(row: Row) -> Iterator[RowFault]:
    """Needed after it was dropped off; not before a time that lies before needed by."""
    needed = row["needed_by"].at
    if needed is not None and needed <= row["time"]:
        yield RowFault("needed_by", "a time that is not after the drop-off", "a later time, or a day and a time")
    if needed is not None and row["not_before"] is not None and row["not_before"] >= needed:
        yield RowFault("not_before", "a time that is not before needed_by", "an earlier time")


def frame_answered(row: Row) -> Iterator[RowFault]:
    """A note that speaks of a damaged frame has the answer of whoever looked at it."""
    if not row["frame_check"] and spoken_of(row["found"]) == CRACKED:
        expected = (
            "sound, worn or cracked: a note alone decides nothing; where the table has no column frame_check, add it"
        )
        yield RowFault("frame_check", f"no answer beside the note “{row['found']}”", expected)


def incident_which(row: Row) -> Iterator[RowFault]:
    """Rain is on every court; every other incident names what it happens to."""
    if row["what"] in ("rain", "play_resumes"):
        if row["which"]:
            yield RowFault("which", f'"{row["which"]}"', f"nothing: {row['what']} is on every court")
    elif not row["which"]:
        subject = row["what"].partition("_")[0]
        yield RowFault("which", "nothing", f"the code of the {subject}")
    if row["winner"] is not None and row["what"] not in ("match_finished", "match_retired", "match_walkover"):
        yield RowFault("winner", f'"{row["winner"]}"', f"nothing for {row['what']}")
    if row["until"] is not None and row["until"] <= row["time"]:
        yield RowFault("until", "a time that is not after the incident", "a later time, or a day and a time")


def calibration_unit(row: Row) -> Iterator[RowFault]:
    """A reading is in the unit of its reference."""
    if row["reading"].unit != row["reference"].unit:
        yield RowFault("reading", f'"{row["reading"]}"', f"the unit of reference, {row['reference'].unit}")
