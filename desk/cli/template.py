"""The empty event workbook."""

from __future__ import annotations

from pathlib import Path

import click

from desk.services.event_files import empty_workbook


@click.command("template")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
def template_command(file: Path) -> None:
    """Write an empty event workbook to FILE, with a row in each sheet that explains its columns."""
    if file.suffix.lower() != ".xlsx":
        raise click.ClickException(f'"{file}" is no name for a workbook; end it in .xlsx.')
    if file.exists():
        raise click.ClickException(f'"{file}" is there already; choose another name, or move that file away.')
    try:
        file.write_bytes(empty_workbook())
    except OSError as error:
        raise click.ClickException(f'"{file}" cannot be written: {error.strerror}.') from error
    click.echo(f"Wrote {file}; fill in its sheets, then: python -m desk import {file}")
