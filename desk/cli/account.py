"""Those who may sign in: added, renamed, reset and ended from the terminal."""

from __future__ import annotations

import click
from sqlalchemy.exc import IntegrityError

from desk.installation import setting
from desk.models import Account
from desk.models.database import Database
from desk.queries.event.events import event_by_slug
from desk.queries.team.accounts import list_accounts
from desk.services.team import account_links, accounts
from desk.services.team.account_links import AccountLink
from desk.trade.event.event_time import utc_now


def say_link(link: AccountLink, *, host: str = "", port: int = 0) -> None:
    """Print where the holder of LINK chooses a password: at the public address, else where the desk is served."""
    port_set = setting("DESK_PORT")
    served = f"http://{host or setting('DESK_HOST')}:{port or port_set}"
    base = setting("DESK_PUBLIC_URL") or served.replace("0.0.0.0", "127.0.0.1")
    click.echo(f"{link.name} chooses a password at {base.rstrip('/')}/welcome/{link.token}")
    click.echo("The link works once, for a day, while `python -m desk serve` runs.")
    if not port and not setting("DESK_PUBLIC_URL"):
        click.echo(f"Its port is that of `serve`: where that runs with another --port than {port_set}, write that one.")


def make_first_account(database: Database, name: str, *, host: str = "", port: int = 0) -> None:
    """Make the lead's account if there is none yet, and print its link."""
    with database.reading() as session:
        if accounts.has_accounts(session):
            return
    try:
        with database.writing() as session:
            link = account_links.make_lead(session, name, now=utc_now())
    except IntegrityError:
        # Another one that started at the same time was first.
        return
    if link is not None:
        say_link(link, host=host, port=port)


@click.group("account")
def account_command() -> None:
    """Add, rename, reset and end accounts."""


@account_command.command("list")
@click.pass_obj
def list_command(url: str) -> None:
    """List who may sign in."""
    with Database(url).reading() as session:
        for line in list_accounts(session):
            ended = "" if line.active else "  (ended)"
            click.echo(f"{line.role:<10} {line.name}{f'  at {line.event}' if line.event else ''}{ended}")


@account_command.command("add")
@click.argument("name")
@click.option("--role", type=click.Choice(accounts.ROLES), default="desk", show_default=True)
@click.option("--event", "slug", help="The only event of this account, by its short name.")
@click.pass_obj
def add_command(url: str, name: str, role: str, slug: str | None) -> None:
    """Add an account; its holder chooses the password."""
    with Database(url).writing() as session:
        event_id = event_by_slug(session, slug).id if slug else None
        account = accounts.add_account(session, name=name, role=role, password=None, event_id=event_id)
        link = account_links.give_link(session, account, now=utc_now())
    say_link(link)


@account_command.command("rename")
@click.argument("name")
@click.argument("new_name")
@click.pass_obj
def rename_command(url: str, name: str, new_name: str) -> None:
    """Give an account another name."""
    with Database(url).writing() as session:
        accounts.rename_account(session, account_links.account_named(session, name).id, new_name)
    click.echo(f"{name} signs in as {new_name} from now on.")


@account_command.command("reset")
@click.argument("name")
@click.pass_obj
def reset_command(url: str, name: str) -> None:
    """Take a password away, end its sessions, and give a link to choose a new one."""
    with Database(url).writing() as session:
        account = account_links.account_named(session, name)
        accounts.set_active(session, account.id, active=True)
        link = account_links.give_link(session, account, now=utc_now())
    say_link(link)


@account_command.command("end")
@click.argument("name")
@click.pass_obj
def end_command(url: str, name: str) -> None:
    """Let an account sign in no longer; `reset` opens it again."""
    with Database(url).writing() as session:
        account: Account = account_links.account_named(session, name)
        accounts.set_active(session, account.id, active=False)
    click.echo(f"{account.name} may no longer sign in.")
