"""The settings of the event: a column for each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from desk.models import Event
from desk.services.event_files.cells.plain_cells import cell_of, slug
from desk.services.event_files.cells.row_checks import between_matches
from desk.services.event_files.raw import value_text
from desk.services.event_files.tables.spec import Column, Table
from desk.trade.event.event_settings import REQUIRED, SETTINGS, Setting
from desk.trade.racquet.value_kinds import Choice, PerCent, YesNo


def _column(setting: Setting) -> Column:
    allowed = {Choice: lambda: ", ".join(setting.kind.words), YesNo: lambda: "yes or no"}.get(type(setting.kind))
    return Column(
        setting.in_file or setting.name,
        f"{setting.help}: {allowed()}" if allowed else setting.help,
        setting.example or value_text(setting.default),
        cell_of(setting.kind),
        required=setting.default is REQUIRED,
        default=None if setting.default is REQUIRED else setting.default,
    )


EVENT = Table(
    name="event",
    explanation="The settings of the event: event.toml, or a sheet with the columns setting and value.",
    required=True,
    columns=(
        Column("slug", "Short name for addresses and commands", "harbour-week", slug, required=True),
        *(_column(setting) for setting in SETTINGS.values()),
    ),
    checks=(between_matches,),
)


def as_stored(values: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a file says of its event by the names of the records."""
    names = {setting.in_file: setting.name for setting in SETTINGS.values()}
    return {names.get(name, name): value for name, value in values.items()}


def as_in_file(event: Event) -> dict[str, Any]:
    """Return the settings of an event by the names of the files, as TOML takes them."""
    values = {"slug": event.slug}
    for setting in SETTINGS.values():
        value = getattr(event, setting.name)
        values[setting.in_file or setting.name] = value / 100 if isinstance(setting.kind, PerCent) else value
    return values
