"""Taking over from an earlier event at the prompt."""

from __future__ import annotations

from datetime import UTC, datetime

import click

from desk.errors import BadInput
from desk.models.database import Database
from desk.queries.event.events import event_by_slug
from desk.queries.rehearsal.earlier_event import returning
from desk.services.acting import Acting
from desk.services.event_files import opened
from desk.services.rehearsal.taking_over import PARTS, SOMEBODY_ELSE, take_over

NOBODY = "new"
SAME_HELP = "Codes of one person under two spellings; P07=new says that P07 is nobody who is here."


@click.command("take-over")
@click.argument("event")
@click.option("--from", "earlier", required=True, help="The earlier event: its short name, or its exported folder.")
@click.option("--what", default=",".join(PARTS), show_default=True, help="What to take over, with commas.")
@click.option("--same", multiple=True, metavar="THEN=NOW", help=SAME_HELP)
@click.pass_obj
def take_over_command(url: str, event: str, earlier: str, what: str, same: tuple[str, ...]) -> None:
    """Take over players, racquets, cards, string, prices, benches and team of an earlier event into EVENT.

    What is here already stays. Whoever may be one person under two spellings is listed and asked about.
    """
    acting = Acting(by="take-over", at=datetime.now(UTC))
    with opened(url, earlier) as (before, then, _), Database(url) as database:
        with database.reading() as session:
            people = returning(session, event_by_slug(session, event), before, then)
        answers = _answers(same)
        asked = [one for one in people if one.is_asked and one.code not in answers]
        if asked and ("players" in what or "cards" in what):
            for one in asked:
                alike = " or ".join(f"{one.code}={code} ({name})" for code, name in one.may_be)
                click.echo(f"{one.name}: --same {alike}, or --same {one.code}={NOBODY}")
            raise BadInput(f"{len(asked)} may be here already. Answer each with --same; nothing was taken over.")
        with database.writing() as session:
            here = event_by_slug(session, event)
            parts = [part.strip() for part in what.split(",") if part.strip()]
            taken = take_over(session, here.id, before, then, parts, answers, acting=acting)
    click.echo(f"Taken over from {then.name}: {taken}")


def _answers(same: tuple[str, ...]) -> dict[str, str]:
    found = {}
    for pair in same:
        then, found_equal, now = pair.partition("=")
        if not found_equal or not now:
            raise BadInput(f'"{pair}": write it THEN=NOW with the codes of the two, or THEN={NOBODY}.')
        found[then.strip()] = SOMEBODY_ELSE if now.strip() == NOBODY else now.strip()
    return found
