"""`python -m desk take-over`: from a stored event and from an exported folder, with questions first."""

from pathlib import Path

from click.testing import CliRunner, Result

from desk.cli import main
from desk.models import KnownCard, Player
from desk.models.database import Database
from tests import make


def run(database: Database, *words: object) -> Result:
    return CliRunner().invoke(main, ["--database", database.url, *(str(word) for word in words)])


def fill(database: Database, *, here: str | None = None) -> None:
    with database.writing() as session:
        before = make.make_event(session, slug="before", name="Harbour Week")
        make.make_job(session, make.make_player(session, before, name="Ilka Torvane", code="P7"))
        now = make.make_event(session, slug="now", name="Harbour Week II")
        if here is not None:
            make.make_player(session, now, name=here, code="Q1")


def count(database: Database, table: type) -> int:
    with database.reading() as session:
        return session.query(table).count()


def test_a_stored_event_is_taken_over(database: Database) -> None:
    fill(database)
    result = run(database, "take-over", "now", "--from", "before", "--what", "players,cards")
    assert result.exit_code == 0, result.output
    assert "cards 1" in result.output
    assert count(database, KnownCard) == 1


def test_whoever_may_be_one_person_is_listed_and_nothing_is_taken_before_the_answer(database: Database) -> None:
    fill(database, here="Ilca Torvane")
    result = run(database, "take-over", "now", "--from", "before", "--what", "players,cards")
    assert result.exit_code == 1
    assert "Ilka Torvane: --same P7=Q1 (Ilca Torvane), or --same P7=new" in result.output
    assert count(database, KnownCard) == 0
    result = run(database, "take-over", "now", "--from", "before", "--what", "players,cards", "--same", "P7=Q1")
    assert result.exit_code == 0, result.output
    assert count(database, Player) == 2
    assert count(database, KnownCard) == 1


def test_an_exported_folder_is_taken_over_as_the_event_was(database: Database, tmp_path: Path) -> None:
    fill(database)
    assert run(database, "export-event", "before", "--out", tmp_path / "before").exit_code == 0
    result = run(database, "take-over", "now", "--from", tmp_path / "before", "--what", "players,cards")
    assert result.exit_code == 0, result.output
    assert count(database, KnownCard) == 1


def test_an_answer_that_is_no_pair_is_refused(database: Database) -> None:
    fill(database)
    result = run(database, "take-over", "now", "--from", "before", "--same", "P7")
    assert result.exit_code == 1
    assert "THEN=NOW" in result.output
