"""What the event files say happens, carried out by the services at its time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from desk.errors import DeskError
from desk.models import Event, Machine, Match, Player, Stringer
from desk.queries.machines.wear import wear_rows
from desk.services.acting import Acting
from desk.services.counter import drop_offs
from desk.services.counter.scripted_forms import Codes
from desk.services.counter.takeable import require_takeable
from desk.services.event_files import (
    EventScript,
    ScriptedCalibration,
    ScriptedDropOff,
    ScriptedIncident,
)
from desk.services.machines import calibrating, machines
from desk.services.machines.servicing import note_care
from desk.services.play import play, play_stops
from desk.services.team import team

DESK = "front desk"
LEAD = "desk lead"
TOGETHER = timedelta(minutes=30)
_SUBJECTS = {"machine": Machine, "stringer": Stringer, "match": Match}


@dataclass(frozen=True, kw_only=True)
class Calibrated:
    """One machine's calibration: readings within half an hour belong together and count from the last."""

    at: datetime
    machine_code: str
    by: str
    readings: tuple[calibrating.Reading, ...]


Happening = ScriptedDropOff | ScriptedIncident | Calibrated


def _calibrated(rows: Sequence[ScriptedCalibration]) -> list[Calibrated]:
    found: list[Calibrated] = []
    for row in sorted(rows, key=lambda row: (row.machine_code, row.at)):
        reading = calibrating.Reading(reference=row.reference.value, reading=row.reading.value, unit=row.reference.unit)
        last = found[-1] if found else None
        if last is not None and last.machine_code == row.machine_code and row.at - last.at <= TOGETHER:
            found[-1] = replace(last, at=row.at, readings=(*last.readings, reading))
        else:
            by = row.stringer_code or LEAD
            found.append(Calibrated(at=row.at, machine_code=row.machine_code, by=by, readings=(reading,)))
    return found


def with_ends_of_rain(incidents: Sequence[ScriptedIncident]) -> list[ScriptedIncident]:
    """Add "play resumes" where a rain says until when and nothing says that it ended otherwise."""
    found: list[ScriptedIncident] = []
    weather = [one for one in incidents if one.what in ("rain", "play_resumes")]
    for one in incidents:
        found.append(one)
        after = next((other for other in weather if other.at > one.at), None)
        if one.what == "rain" and one.until_at is not None and (after is None or after.what == "rain"):
            ends = one.until_at if after is None else min(one.until_at, after.at)
            found.append(replace(one, at=ends, what="play_resumes", until_at=None))
    return found


def rainy_spans(incidents: Sequence[ScriptedIncident]) -> list[tuple[datetime, datetime]]:
    """From when to when no match was played, whatever the end that was expected."""
    spans: list[tuple[datetime, datetime]] = []
    began: datetime | None = None
    for one in sorted(with_ends_of_rain(incidents), key=lambda incident: incident.at):
        if one.what == "rain" and began is None:
            began = one.at
        elif one.what == "play_resumes" and began is not None:
            spans.append((began, one.at))
            began = None
    return spans


def play_so_far(session: Session, event_id: int, script: EventScript, until: datetime) -> list[str]:
    """Carry out what the files say of matches and rain up to UNTIL; return what could not be done, as sentences."""
    of_play = tuple(one for one in script.incidents if one.what.startswith(("match_", "rain", "play_")))
    only_play = EventScript(drop_offs=(), incidents=of_play, calibrations=())
    return Script(session, event_id, only_play).act(session, until)


class Script:
    """The happenings of an event in order of time; those up to `since` are taken as done."""

    def __init__(self, session: Session, event_id: int, script: EventScript, *, since: datetime | None = None) -> None:
        self.event_id = event_id
        incidents = with_ends_of_rain(script.incidents)
        happenings: list[Happening] = [*_calibrated(script.calibrations), *incidents, *script.drop_offs]
        happenings.sort(key=lambda happening: happening.at)
        self._left = [h for h in happenings if since is None or h.at > since]
        self._codes = Codes(session, event_id)
        self.racquets_refused = 0

    def next_at(self) -> datetime | None:
        """Return when the next thing happens."""
        return self._left[0].at if self._left else None

    def act(self, session: Session, at: datetime) -> list[str]:
        """Carry out what happens up to AT and return what could not be done, as sentences."""
        refused = []
        while self._left and self._left[0].at <= at:
            for happening in self._parted(session, self._left.pop(0)):
                try:
                    with session.begin_nested():
                        self._carry_out(session, happening)
                except DeskError as error:
                    refused.append(f"{self._what(session, happening)}: {error}")
                    self.racquets_refused += len(happening.racquets) if isinstance(happening, ScriptedDropOff) else 0
        return refused

    def _parted(self, session: Session, happening: Happening) -> list[Happening]:
        """Part each racquet that the desk refuses from the rest of its visit: the others are taken in."""
        if not isinstance(happening, ScriptedDropOff):
            return [happening]
        alone = [replace(happening, racquets=(racquet,)) for racquet in happening.racquets]
        refused = [one for one in alone if self._is_refused(session, one)]
        taken = tuple(one.racquets[0] for one in alone if one not in refused)
        return [*([replace(happening, racquets=taken)] if taken else []), *refused]

    def _is_refused(self, session: Session, visit: ScriptedDropOff) -> bool:
        try:
            require_takeable(session, self._codes.form(session, visit))
        except DeskError:
            return True
        return False

    def _what(self, session: Session, happening: Happening) -> str:
        if isinstance(happening, ScriptedDropOff):
            player = session.get_one(Player, self._codes.id_of(Player, happening.player_code))
            numbers = ", ".join(str(one.number) for one in happening.racquets)
            return f"drop-off of {player.called}, racquet {numbers}"
        if isinstance(happening, Calibrated):
            return f"calibration of {happening.machine_code}"
        return f"{happening.what} {happening.which}".strip()

    def _carry_out(self, session: Session, happening: Happening) -> None:
        if isinstance(happening, ScriptedDropOff):
            form = self._codes.form(session, happening)
            drop_offs.take_drop_off(session, self.event_id, form, acting=Acting(by=DESK, at=happening.at))
        elif isinstance(happening, Calibrated):
            self._look_after(session, happening)
        else:
            self._incident(session, happening)

    def _look_after(self, session: Session, happening: Calibrated) -> None:
        """Do the checks of a machine that are due by racquets or hours, then calibrate it."""
        machine_id = self._codes.id_of(Machine, happening.machine_code)
        acting = Acting(by=happening.by, at=happening.at)
        rows = wear_rows(session, session.get_one(Event, self.event_id))
        for check in next(row.due for row in rows if row.machine_id == machine_id):
            note_care(session, self.event_id, machine_id, check.check_id, acting=acting)
        calibrating.calibrate(session, self.event_id, machine_id, happening.readings, acting=acting)

    def _incident(self, session: Session, happening: ScriptedIncident) -> None:
        acting = Acting(by=LEAD, at=happening.at)
        subject = _SUBJECTS.get(happening.what.partition("_")[0])
        which = () if subject is None else (self._codes.id_of(subject, happening.which),)
        at, back, won = (session, self.event_id, *which), happening.until_at, happening.winner_side
        carry_out: dict[str, Callable[[], object]] = {
            "rain": lambda: self._rain(session, happening, acting),
            "play_resumes": lambda: play_stops.resume_play(*at, acting=acting),
            "machine_out": lambda: machines.take_out_of_service(
                *at, reason=happening.note or "out of order", back_at=back, acting=acting
            ),
            "machine_back": lambda: machines.put_back_in_service(*at, acting=acting),
            "stringer_away": lambda: team.call_in_absent(
                *at, reason=happening.note or "away", back_at=back, acting=acting
            ),
            "stringer_back": lambda: team.back_at_work(*at, acting=acting),
            "match_started": lambda: play.start_match(*at, acting=acting),
            "match_finished": lambda: play.finish_match(*at, acting=acting, winner_side=won),
            "match_retired": lambda: play.retire(*at, acting=acting, winner_side=won),
            "match_walkover": lambda: play.walkover(*at, acting=acting, winner_side=won),
            "match_suspended": lambda: play.suspend(*at, acting=acting),
        }
        carry_out[happening.what]()

    def _rain(self, session: Session, happening: ScriptedIncident, acting: Acting) -> None:
        """Stop play; until when, if somebody knows, is told at once."""
        play_stops.stop_play(session, self.event_id, acting=acting)
        if happening.until_at is not None:
            play_stops.resume_play(session, self.event_id, acting=acting, resumes_at=happening.until_at)
