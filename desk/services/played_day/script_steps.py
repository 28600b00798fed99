"""What the event files say happens, carried out by the services at its time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import DeskError
from desk.models import Court, Frame, Machine, Match, Player, Racquet, Stringer, StringType
from desk.services import dropoffs, machines, play, team
from desk.services.acting import Acting
from desk.services.event_files import (
    EventScript,
    ScriptedCalibration,
    ScriptedDropOff,
    ScriptedIncident,
    ScriptedRacquet,
)

DESK = "front desk"
LEAD = "desk lead"
TOGETHER = timedelta(minutes=30)


@dataclass(frozen=True, kw_only=True)
class Calibrated:
    """One machine's calibration: its readings within half an hour are one, done with the last."""

    at: datetime
    machine_code: str
    by: str
    readings: tuple[machines.Reading, ...]


Happening = ScriptedDropOff | ScriptedIncident | Calibrated


def _calibrated(rows: Sequence[ScriptedCalibration]) -> list[Calibrated]:
    found: list[Calibrated] = []
    for row in sorted(rows, key=lambda row: (row.machine_code, row.at)):
        reading = machines.Reading(reference=row.reference.value, reading=row.reading.value, unit=row.reference.unit)
        last = found[-1] if found else None
        if last is not None and last.machine_code == row.machine_code and row.at - last.at <= TOGETHER:
            found[-1] = replace(last, at=row.at, readings=(*last.readings, reading))
        else:
            by = row.stringer_code or LEAD
            found.append(Calibrated(at=row.at, machine_code=row.machine_code, by=by, readings=(reading,)))
    return found


class Script:
    """The happenings of an event in order of time; those up to `since` are taken as done."""

    def __init__(self, session: Session, event_id: int, script: EventScript, *, since: datetime | None = None) -> None:
        self.event_id = event_id
        happenings: list[Happening] = [*_calibrated(script.calibrations), *script.incidents, *script.drop_offs]
        happenings.sort(key=lambda happening: happening.at)
        self._left = [h for h in happenings if since is None or h.at > since]
        self._codes = _Codes(session, event_id)

    def next_at(self) -> datetime | None:
        """Return when the next thing happens."""
        return self._left[0].at if self._left else None

    def act(self, session: Session, at: datetime) -> list[str]:
        """Carry out what happens up to AT and return what could not be done, as sentences."""
        refused = []
        while self._left and self._left[0].at <= at:
            happening = self._left.pop(0)
            try:
                with session.begin_nested():
                    self._carry_out(session, happening)
            except DeskError as error:
                refused.append(f"{_what(happening)}: {error}")
        return refused

    def _carry_out(self, session: Session, happening: Happening) -> None:
        if isinstance(happening, ScriptedDropOff):
            form = self._codes.form(session, happening)
            dropoffs.take_drop_off(session, self.event_id, form, acting=Acting(by=DESK, at=happening.at))
        elif isinstance(happening, Calibrated):
            machines.calibrate(
                session,
                self.event_id,
                self._codes.id_of(Machine, happening.machine_code),
                happening.readings,
                acting=Acting(by=happening.by, at=happening.at),
            )
        else:
            self._incident(session, happening)

    def _incident(self, session: Session, happening: ScriptedIncident) -> None:
        acting = Acting(by=LEAD, at=happening.at)
        carry_out: dict[str, Callable[[], object]] = {
            "rain": lambda: play.stop_play(session, self.event_id, acting=acting),
            "play_resumes": lambda: play.resume_play(session, self.event_id, acting=acting),
            "machine_out": lambda: machines.take_out_of_service(
                session,
                self.event_id,
                self._codes.id_of(Machine, happening.which),
                reason=happening.note or "out of order",
                back_at=happening.until_at,
                acting=acting,
            ),
            "machine_back": lambda: machines.put_back_in_service(
                session, self.event_id, self._codes.id_of(Machine, happening.which), acting=acting
            ),
            "stringer_away": lambda: team.call_in_absent(
                session,
                self.event_id,
                self._codes.id_of(Stringer, happening.which),
                reason=happening.note or "away",
                back_at=happening.until_at,
                acting=acting,
            ),
            "stringer_back": lambda: team.back_at_work(
                session, self.event_id, self._codes.id_of(Stringer, happening.which), acting=acting
            ),
            "match_started": lambda: play.start_match(session, self.event_id, self._match(happening), acting=acting),
            "match_finished": lambda: play.finish_match(
                session, self.event_id, self._match(happening), acting=acting, winner_side=happening.winner_side
            ),
            "match_retired": lambda: play.retire(
                session, self.event_id, self._match(happening), acting=acting, winner_side=happening.winner_side
            ),
            "match_walkover": lambda: play.walkover(
                session, self.event_id, self._match(happening), acting=acting, winner_side=happening.winner_side
            ),
            "match_suspended": lambda: play.suspend(session, self.event_id, self._match(happening), acting=acting),
        }
        carry_out[happening.what]()

    def _match(self, happening: ScriptedIncident) -> int:
        return self._codes.id_of(Match, happening.which)


class _Codes:
    """Ids of the records by the codes of the event files."""

    def __init__(self, session: Session, event_id: int) -> None:
        self.event_id = event_id
        self._ids: dict[tuple[type, str], int] = {}
        for table in (Machine, Stringer, Match, Player, Frame, StringType):
            rows = session.execute(select(table.code, table.id).where(table.event_id == event_id))
            self._ids.update({(table, code): row_id for code, row_id in rows})
        courts = session.execute(select(Court.name, Court.id).where(Court.event_id == event_id))
        self._ids.update({(Court, name): row_id for name, row_id in courts})

    def id_of(self, table: type, code: str) -> int:
        return self._ids[table, code]

    def form(self, session: Session, visit: ScriptedDropOff) -> dropoffs.DropOffForm:
        player_id = self.id_of(Player, visit.player_code)
        owned = select(Racquet.number, Racquet.id).where(Racquet.player_id == player_id)
        known = dict(session.execute(owned).all())
        return dropoffs.DropOffForm(
            player_id=player_id,
            racquets=[self._racquet(racquet, known) for racquet in visit.racquets],
            request_key=f"files-{visit.player_code}-{visit.at:%Y%m%d%H%M}-{visit.racquets[0].row}",
            frame_checked=True,
            consent=visit.consent,
        )

    def _racquet(self, racquet: ScriptedRacquet, known: dict[int, int]) -> dropoffs.RacquetForm:
        return dropoffs.RacquetForm(
            racquet_id=known.get(racquet.number),
            number=racquet.number,
            frame_id=self.id_of(Frame, racquet.frame_code),
            card=self._card(racquet),
            needed_by_kind=racquet.needed_by_kind,
            needed_by_at=racquet.needed_by_at,
            not_before_at=racquet.not_before_at,
            on_court=racquet.on_court,
            court_id=self.id_of(Court, racquet.court_name) if racquet.court_name else None,
        )

    def _card(self, racquet: ScriptedRacquet) -> dropoffs.CardForm:
        return dropoffs.CardForm(
            mains_string_id=self.id_of(StringType, racquet.mains_string_code),
            crosses_string_id=self.id_of(StringType, racquet.crosses_string_code),
            mains_tension=racquet.mains_tension.value,
            crosses_tension=racquet.crosses_tension.value,
            tension_unit=racquet.mains_tension.unit,
            pieces=racquet.pieces,
            mains_pre_stretch=racquet.mains_pre_stretch,
            crosses_pre_stretch=racquet.crosses_pre_stretch,
            stencil=racquet.stencil,
            extra_work=racquet.extra_work,
            own_string=racquet.own_string,
            note=racquet.note,
        )


def _what(happening: Happening) -> str:
    if isinstance(happening, ScriptedDropOff):
        return f"drop-off of {happening.player_code}"
    if isinstance(happening, Calibrated):
        return f"calibration of {happening.machine_code}"
    return f"{happening.what} {happening.which}".strip()
