"""The day as it happens comes typed and in order of time."""

from datetime import UTC, datetime
from pathlib import Path

from desk.services.event_files import ScriptedCalibration, ScriptedIncident, read_event, script_of
from desk.trade.racquet.units import parse_tension
from tests.services.event_files.files import FILES, write_event


def test_incidents_are_in_order_of_time_with_their_subject(tmp_path: Path) -> None:
    incidents = (
        "day,time,what,which,until,winner,note\n"
        "2031-05-12,13:00,match_finished,A,,2,\n"
        "2031-05-12,09:00,machine_out,M1,2031-05-13 10:00,,gripper slips\n"
    )
    script = script_of(read_event(write_event(tmp_path, incidents=incidents)))
    assert script.incidents == (
        ScriptedIncident(
            at=datetime(2031, 5, 12, 7, 0, tzinfo=UTC),
            what="machine_out",
            which="M1",
            until_at=datetime(2031, 5, 13, 8, 0, tzinfo=UTC),
            winner_side=None,
            note="gripper slips",
        ),
        ScriptedIncident(
            at=datetime(2031, 5, 12, 11, 0, tzinfo=UTC),
            what="match_finished",
            which="A",
            until_at=None,
            winner_side=2,
            note="",
        ),
    )


def test_a_calibration_keeps_both_tensions_as_spoken(tmp_path: Path) -> None:
    calibrations = "day,time,machine,reference,reading,by\n2031-05-12,07:40,M1,60 lb,60.5 lb,S1\n"
    script = script_of(read_event(write_event(tmp_path, calibrations=calibrations)))
    assert script.calibrations == (
        ScriptedCalibration(
            at=datetime(2031, 5, 12, 5, 40, tzinfo=UTC),
            machine_code="M1",
            reference=parse_tension("60 lb"),
            reading=parse_tension("60.5 lb"),
            stringer_code="S1",
        ),
    )


def test_a_racquet_from_a_match_in_play_names_its_court(tmp_path: Path) -> None:
    dropoffs = (
        FILES["dropoffs.csv"].replace("mains_tension", "mains_tension,on_court,court,not_before").rstrip()
        + "\n2031-05-12,11:40,P2,1,F2,X1,24 kg,yes,Court 1,\n2031-05-12,18:00,P3,1,F2,X1,24 kg,,,2031-05-13 08:00\n"
    )
    *_, on_court, next_day = script_of(read_event(write_event(tmp_path, dropoffs=dropoffs))).drop_offs
    assert (on_court.racquets[0].on_court, on_court.racquets[0].court_name) == (True, "Court 1")
    assert next_day.racquets[0].not_before_at == datetime(2031, 5, 13, 6, 0, tzinfo=UTC)


def test_consents_of_one_visit_are_kept_together(tmp_path: Path) -> None:
    dropoffs = FILES["dropoffs.csv"].replace("tension\n", "tension,consent\n")
    dropoffs = dropoffs.replace("52.5 lb", "52.5 lb,worn bumper").replace("23 kg", "23 kg,above the range")
    (visit,) = script_of(read_event(write_event(tmp_path, dropoffs=dropoffs))).drop_offs
    assert visit.consent == "worn bumper; above the range"
