"""README tells what the code does: its tables are rendered from the code's own."""

from pathlib import Path

import click

from desk.cli import COMMANDS, main
from desk.installation import SETTINGS
from desk.services.event_files import tables_markdown

README = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")


def between(name: str) -> str:
    return README.split(f"<!-- {name} -->\n")[1].split(f"<!-- end of {name} -->")[0].strip()


def test_readme_lists_every_setting() -> None:
    rows = [f"| `{one.name}` | {f'`{one.default}`' if one.default else '(empty)'} | {one.help} |" for one in SETTINGS]
    assert between("settings table").splitlines()[2:] == rows


def test_readme_lists_every_table_of_the_event_files() -> None:
    assert between("event tables") == tables_markdown().strip()


def test_readme_lists_every_command() -> None:
    assert [name for name in COMMANDS if f"| `{name}" not in README] == []


def test_every_command_has_a_line_of_help() -> None:
    context = click.Context(main)
    assert [name for name in COMMANDS if not main.get_command(context, name).get_short_help_str()] == []
