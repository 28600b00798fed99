"""README and the page of event files tell what the code does: their tables are rendered from the code's own."""

from pathlib import Path

import click

from desk.cli import COMMANDS, main
from desk.installation import SETTINGS
from desk.services.event_files import tables_markdown

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
EVENT_FILES = (ROOT / "sample_events" / "README.md").read_text(encoding="utf-8")


def between(name: str, page: str = README) -> str:
    return page.split(f"<!-- {name} -->\n")[1].split(f"<!-- end of {name} -->", maxsplit=1)[0].strip()


def test_readme_lists_every_setting() -> None:
    rows = [f"| `{one.name}` | {f'`{one.default}`' if one.default else '(empty)'} | {one.help} |" for one in SETTINGS]
    assert between("settings table").splitlines()[2:] == rows


def test_the_page_of_event_files_lists_every_table() -> None:
    assert between("event tables", EVENT_FILES) == tables_markdown().strip()


def test_readme_lists_every_command() -> None:
    assert [name for name in COMMANDS if f"| `{name}" not in README] == []


def test_every_command_has_a_line_of_help() -> None:
    context = click.Context(main)
    assert [name for name in COMMANDS if not main.get_command(context, name).get_short_help_str()] == []
