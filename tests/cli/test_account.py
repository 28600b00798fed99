"""The lead's account made with the records, and accounts kept from the terminal."""

import re

import pytest
from click.testing import CliRunner, Result

from desk.cli import main
from desk.cli.account import make_first_account
from desk.models.database import Database
from desk.web import create_app

pytestmark = pytest.mark.slow


def run(database: Database, *words: str, typed: str = "") -> Result:
    return CliRunner().invoke(main, ["--database", database.url, *words], input=typed)


def link_in(result: Result) -> str:
    return re.search(r"/welcome/\S+", result.output).group()


def test_init_makes_the_lead_with_a_link_and_only_once(database: Database) -> None:
    first = run(database, "init", "--lead", "Mara")
    assert "Mara chooses a password at http://127.0.0.1:8400/welcome/" in first.output
    assert "where that runs with another --port than 8400, write that one" in first.output
    client = create_app(database, TESTING=True, WTF_CSRF_ENABLED=False).test_client()
    assert client.post(link_in(first), data={"password": "three plain words"}).status_code == 303
    assert "welcome" not in run(database, "init", "--lead", "Eve").output
    assert run(database, "account", "list").output == "lead       Mara\n"


def test_init_asks_for_the_name_of_the_lead(database: Database) -> None:
    assert "Ilka chooses" in run(database, "init", typed="Ilka\n").output


def test_accounts_are_added_renamed_reset_and_ended(database: Database) -> None:
    run(database, "init", "--lead", "Mara")
    added = run(database, "account", "add", "Bo", "--role", "stringer")
    assert "Bo chooses" in added.output
    run(database, "account", "rename", "bo", "Bo Karrel")
    assert run(database, "account", "end", "Bo Karrel").exit_code == 0
    assert "stringer   Bo Karrel  (ended)" in run(database, "account", "list").output
    reset = run(database, "account", "reset", "Bo Karrel")
    assert link_in(reset) != link_in(added)
    assert "(ended)" not in run(database, "account", "list").output


def test_what_cannot_be_is_one_clear_line(database: Database) -> None:
    run(database, "init", "--lead", "Mara")
    assert "There is no account “Bo”" in run(database, "account", "reset", "Bo").output
    assert "There is an account “mara” already" in run(database, "account", "add", "mara").output
    assert "last lead" in run(database, "account", "end", "Mara").output


def test_the_first_link_leads_to_where_the_desk_is_served(database: Database, capsys: pytest.CaptureFixture) -> None:
    make_first_account(database, "Mara", host="0.0.0.0", port=9000)
    said = capsys.readouterr().out
    assert "http://127.0.0.1:9000/welcome/" in said
    assert "another --port" not in said
