"""The group of commands: each is loaded when it is called, and what a user can mend is one clear line."""

from __future__ import annotations

import importlib
import re
from collections.abc import Mapping, Sequence
from typing import Any

import click
from sqlalchemy.exc import ArgumentError, NoSuchModuleError, OperationalError, ProgrammingError

from desk.errors import BadInput, DeskError, InputFault, gathered

SHOWN_FAULTS = 200


class DeskGroup(click.Group):
    """Loads a command when it is called, so that no command waits for modules that it does not use.

    Parameters
    ----------
    commands_at : mapping
        ``module:attribute`` by the command's name, relative to this package.
    """

    def __init__(self, *args: Any, commands_at: Mapping[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.commands_at = commands_at

    def list_commands(self, context: click.Context) -> list[str]:
        return sorted(self.commands_at)

    def get_command(self, context: click.Context, name: str) -> click.Command | None:
        if name not in self.commands_at:
            return None
        module, _, attribute = self.commands_at[name].partition(":")
        return getattr(importlib.import_module(module, package=__package__), attribute)

    def invoke(self, context: click.Context) -> Any:
        try:
            return super().invoke(context)
        except BadInput as error:
            raise click.ClickException("\n".join([str(error), *fault_lines(error.faults)])) from error
        except (DeskError, ValueError) as error:
            if isinstance(error, ValueError) and not type(error).__module__.startswith(("desk.", "solver", "exports")):
                raise
            raise click.ClickException(str(error)) from error
        except ModuleNotFoundError as error:
            if error.name != "psycopg":
                raise
            raise click.ClickException(
                "PostgreSQL needs one package more: pip install -e '.[postgresql]' where the desk is installed."
            ) from error
        except (ArgumentError, NoSuchModuleError) as error:
            raise click.ClickException(
                f"{_plain(context.obj)} is no address of records. Write it like sqlite:///desk.sqlite or "
                "postgresql+psycopg://user@host/name."
            ) from error
        except (OperationalError, ProgrammingError) as error:
            raise click.ClickException(
                f"The records at {_plain(context.obj)} cannot be used ({error.orig}). Run `python -m desk init` first, "
                "or correct DESK_DATABASE_URL."
            ) from error


def _plain(url: str) -> str:
    """Return the address of the records without its password."""
    return re.sub(r"(://[^:@/]*):[^@]*@", r"\1:***@", url)


def fault_lines(found: Sequence[InputFault]) -> list[str]:
    """Return a line for each fault, like ones together, so many as can be read."""
    faults = gathered(found)
    lines = [str(fault) for fault in faults[:SHOWN_FAULTS]]
    if len(faults) > SHOWN_FAULTS:
        lines.append(f"... and {len(faults) - SHOWN_FAULTS} more faults.")
    return lines
