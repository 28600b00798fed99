"""What a user can mend is said in one clear line (and one a fault), with exit status 1."""

from __future__ import annotations

from typing import Any

import click
from sqlalchemy.exc import OperationalError, ProgrammingError

from desk.errors import BadInput, DeskError

SHOWN_FAULTS = 200


class DeskGroup(click.Group):
    """A command group that turns the desk's errors into clear lines."""

    def invoke(self, context: click.Context) -> Any:
        try:
            return super().invoke(context)
        except BadInput as error:
            raise click.ClickException("\n".join([str(error), *_fault_lines(error)])) from error
        except (DeskError, ValueError) as error:
            if isinstance(error, ValueError) and not type(error).__module__.startswith(("desk.", "solver", "exports")):
                raise
            raise click.ClickException(str(error)) from error
        except (OperationalError, ProgrammingError) as error:
            raise click.ClickException(
                f"The records at {context.obj} cannot be used ({error.orig}). Run `python -m desk init` first, "
                "or correct DESK_DATABASE_URL."
            ) from error


def _fault_lines(error: BadInput) -> list[str]:
    lines = [str(fault) for fault in error.faults[:SHOWN_FAULTS]]
    if len(error.faults) > SHOWN_FAULTS:
        lines.append(f"... and {len(error.faults) - SHOWN_FAULTS} more faults.")
    return lines
