"""A racquet that the desk refuses is parted from its visit, counted, and named by its player."""

from pathlib import Path

from click.testing import CliRunner
from sqlalchemy import select

from desk.cli import main
from desk.models import Job, Player, Racquet
from desk.models.database import Database
from desk.services.acting import Acting
from desk.services.event_files import read_event, script_of, store_event
from desk.services.played_day import DayPlayer
from tests.services.event_files.files import write_event

RANGED = "code,name,mains,crosses,tension_low,tension_high\nF1,Ostrel Larch 98,16,19,48 lb,58 lb\n"
BAGS = (
    "day,time,player,racquet,frame,mains_string,mains_tension,frame_check,found,consent\n"
    "2031-05-12,09:00,P1,1,F1,X1,52 lb,sound,,\n"
    "2031-05-12,09:00,P1,2,F1,X1,70 lb,sound,,\n"
    "2031-05-12,09:00,P1,3,F1,X1,52 lb,cracked,at the throat,\n"
    "2031-05-12,09:05,P2,1,F1,X1,52 lb,worn,grommets worn at the head,\n"
    "2031-05-12,09:10,P3,1,F1,X1,52 lb,worn,grommets worn at the head,owner agreed\n"
    "2031-05-12,09:10,P3,2,F1,X1,52 lb,sound,no sign of a crack,\n"
    "2031-05-12,09:15,P4,1,F1,X1,70 lb,sound,,above the range with the owner's word\n"
)


def test_what_is_refused_is_parted_counted_and_named(database: Database, tmp_path: Path) -> None:
    files = read_event(write_event(tmp_path, frames=RANGED, dropoffs=BAGS))
    with database.writing() as session:
        acting = Acting(by="files", at=files.clock.to_utc(0))
        event_id = store_event(session, files, acting=acting).id
    player, refused = DayPlayer(database, event_id, script_of(files), effort=None), list[str]()
    player.advance(files.clock.to_utc(0), files.clock.to_utc(10 * 60), lambda step: refused.extend(step.refused))
    assert player.racquets_refused == 3
    assert [one.partition(":")[0] for one in refused] == [
        "drop-off of Ilka Torvane, racquet 2",
        "drop-off of Ilka Torvane, racquet 3",
        "drop-off of Odile Mereldi, racquet 1",
    ]
    assert ["above the range" in refused[0], "Tell the owner" in refused[1], "grommets" in refused[2]] == [True] * 3
    taken = select(Player.code, Racquet.number).join(Job, Job.player_id == Player.id).join(Racquet)
    with database.reading() as session:
        assert {tuple(row) for row in session.execute(taken.order_by(Job.id))} == {
            ("P1", 1), ("P3", 1), ("P3", 2), ("P4", 1),
        }  # fmt: skip


def test_the_command_counts_them_and_lists_them_at_the_end(tmp_path: Path) -> None:
    (tmp_path / "event").mkdir()
    event = write_event(tmp_path / "event", frames=RANGED, dropoffs=BAGS, matches=None)
    words = ["day", str(event), "--out", str(tmp_path / "out"), "--steps", "50", "--quiet"]
    said = CliRunner().invoke(main, words).output
    assert "Refused: 3 racquets, 3 entries in all\n! Mon 09:00 drop-off of Ilka Torvane, racquet 2: " in said
