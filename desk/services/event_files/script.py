"""The day as it happens: drop-offs, incidents and calibrations of the files, typed and in order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from desk.services.event_files.cells.trade_cells import NeededBy
from desk.services.event_files.reading import EventFiles
from desk.services.event_files.tables.spec import Row
from desk.trade.racquet.bed import Bed, Half
from desk.trade.racquet.units import Tension


@dataclass(frozen=True)
class ScriptedHalf:
    """How one half is to be strung, by the code of its string."""

    string_code: str
    tension: Tension
    pre_stretch: int = 0
    own: bool = False


@dataclass(frozen=True, kw_only=True)
class ScriptedRacquet:
    """One racquet of a visit with its card; codes are those of the tables, `row` that of the file.

    `needed_by_kind` is match, time (then `needed_by_at`) or none; times are UTC.
    """

    row: int
    number: int
    frame_code: str
    bed: Bed[ScriptedHalf]
    pieces: int
    stencil: str
    extra_work: str
    needed_by_kind: str
    needed_by_at: datetime | None
    not_before_at: datetime | None
    on_court: bool
    court_name: str | None
    matters: str = ""
    as_fresh: bool
    frame_check: str = ""
    found: str
    note: str


@dataclass(frozen=True, kw_only=True)
class ScriptedDropOff:
    """One visit of one player with one or more racquets."""

    at: datetime
    player_code: str
    racquets: tuple[ScriptedRacquet, ...]
    consent: str
    brought_by: str = ""


@dataclass(frozen=True, kw_only=True)
class ScriptedIncident:
    """Something that happens: `which` is the code of a machine, stringer or match, empty for rain."""

    at: datetime
    what: str
    which: str
    until_at: datetime | None
    winner_side: int | None
    note: str


@dataclass(frozen=True, kw_only=True)
class ScriptedCalibration:
    """One reading of a machine against a reference tension."""

    at: datetime
    machine_code: str
    reference: Tension
    reading: Tension
    stringer_code: str | None


@dataclass(frozen=True, kw_only=True)
class EventScript:
    """What happens during an event, each in order of time."""

    drop_offs: tuple[ScriptedDropOff, ...]
    incidents: tuple[ScriptedIncident, ...]
    calibrations: tuple[ScriptedCalibration, ...]


def script_of(files: EventFiles) -> EventScript:
    """Return the day as it happens from the tables dropoffs, incidents and calibrations."""
    incidents = [_incident(row) for row in files.tables["incidents"]]
    calibrations = [_calibration(row) for row in files.tables["calibrations"]]
    return EventScript(
        drop_offs=visits(files.tables["dropoffs"]),
        incidents=tuple(sorted(incidents, key=lambda incident: incident.at)),
        calibrations=tuple(sorted(calibrations, key=lambda calibration: calibration.at)),
    )


def visits(rows: Iterable[Row]) -> tuple[ScriptedDropOff, ...]:
    """Return the rows of the table dropoffs as visits: rows of one player at one time are one."""
    ordered = sorted(rows, key=lambda row: (row["time"], row["player"], row["racquet"]))
    found = []
    for (at, player), group in groupby(ordered, key=lambda row: (row["time"], row["player"])):
        of_visit = list(group)
        said = {name: dict.fromkeys(row[name] for row in of_visit if row[name]) for name in ("consent", "brought_by")}
        words = {"consent": "; ".join(said["consent"]), "brought_by": ", ".join(said["brought_by"])}
        racquets = tuple(_racquet(row) for row in of_visit)
        found.append(ScriptedDropOff(at=at, player_code=player, racquets=racquets, **words))
    return tuple(found)


def _racquet(row: Row) -> ScriptedRacquet:
    needed: NeededBy = row["needed_by"]
    return ScriptedRacquet(
        row=row.number,
        number=row["racquet"],
        frame_code=row["frame"],
        bed=Bed.of(lambda half: _half(row, half)),
        pieces=row["pieces"],
        stencil=row["stencil"],
        extra_work=row["extra_work"],
        needed_by_kind=needed.kind,
        needed_by_at=needed.at,
        not_before_at=row["not_before"],
        on_court=row["on_court"],
        court_name=row["court"],
        matters=row["matters"],
        as_fresh=row["as_fresh"],
        frame_check=row["frame_check"],
        found=row["found"],
        note=row["note"],
    )


def _half(row: Row, half: Half) -> ScriptedHalf:
    """One half of a card; a cell that the crosses leave empty takes the value of the mains."""
    return ScriptedHalf(
        string_code=row[f"{half}_string"] or row["mains_string"],
        tension=row[f"{half}_tension"] or row["mains_tension"],
        pre_stretch=row[f"{half}_pre_stretch"],
        own=half in row["own_string"],
    )


def _incident(row: Row) -> ScriptedIncident:
    return ScriptedIncident(
        at=row["time"],
        what=row["what"],
        which=row["which"] or "",
        until_at=row["until"],
        winner_side=row["winner"],
        note=row["note"],
    )


def _calibration(row: Row) -> ScriptedCalibration:
    return ScriptedCalibration(
        at=row["time"],
        machine_code=row["machine"],
        reference=row["reference"],
        reading=row["reading"],
        stringer_code=row["by"],
    )
