"""Settings of people: who signs in, and trusted devices."""

from __future__ import annotations

from collections.abc import Sequence

from flask import flash, url_for
from werkzeug.wrappers import Response
from wtforms import PasswordField, SelectField, StringField
from wtforms.validators import InputRequired, Length

from desk.errors import NotFound
from desk.models import Account, TrustedDevice
from desk.queries.finding import find_of
from desk.queries.team.accounts import accounts_of, devices_of, uninvited
from desk.services.team import account_links, accounts
from desk.trade.event.event_time import utc_now
from desk.web import context
from desk.web.event.price_list import blueprint
from desk.web.forms import DeskForm, options, saving, see, show
from desk.web.qr import public_address

ROLES = (("lead", "desk lead"), ("desk", "front desk"), ("stringer", "stringer"), ("organiser", "organiser"))


class AccountForm(DeskForm):
    name = StringField("Name to sign in with", [InputRequired("give a name"), Length(max=80)])
    role = SelectField("Role", choices=options(ROLES), default="desk")
    password = PasswordField("Password", [InputRequired("give a password")])


class PasswordForm(DeskForm):
    password = PasswordField("New password", [InputRequired("give the new password")])


def _people(form: AccountForm, renew: PasswordForm | None = None, wrong: int | None = None, links: Sequence = ()):
    session, event_id = context.reading(), context.event_id()
    shown = {"people": accounts_of(session, event_id), "devices": devices_of(session, event_id), "roles": dict(ROLES)}
    shown |= {"links": links, "uninvited": uninvited(session, event_id)}
    return show("event/settings/people.html", form=form, renew=renew, wrong=wrong, **shown)


@blueprint.get("/settings/people")
def people():
    return _people(AccountForm(formdata=None))


@blueprint.post("/settings/people")
def add_account():
    form = AccountForm()
    if form.validate_on_submit():
        with saving(form, f"{form.name.data} may sign in.") as session:
            accounts.add_account(session, name=form.name.data, role=form.role.data, password=form.password.data)
            return see(url_for("settings.people"))
    return _people(form)


@blueprint.post("/settings/people/stringers")
def invite() -> str:
    """Show a link for each stringer; it stands nowhere else and is given once."""
    with context.writing() as session:
        links = account_links.invite_stringers(session, context.event_id(), now=utc_now())
    shown = [(one.name, public_address(url_for("sign_in.welcome", token=one.token))) for one in links]
    return _people(AccountForm(formdata=None), links=shown)


@blueprint.post("/settings/people/<int:account_id>/password")
def password(account_id: int):
    form = PasswordForm()
    if form.validate_on_submit():
        with saving(form, "The new password holds; whoever was signed in with the old one signs in again.") as session:
            accounts.change_password(session, _own(session, account_id), form.password.data)
            return see(url_for("settings.people"))
    return _people(AccountForm(formdata=None), renew=form, wrong=account_id)


def _own(session, account_id: int) -> int:
    """Return the id of an account that this event may change; another event's is refused."""
    found = session.get(Account, account_id)
    if found is None or found.event_id not in (None, context.event_id()):
        raise NotFound("There is no such account at this event; go back to the settings.")
    return found.id


@blueprint.post("/settings/people/<int:account_id>/<do>")
def active(account_id: int, do: str) -> Response:
    if do not in ("stop", "go"):
        raise NotFound("There is no such button; go back to the settings.")
    with context.writing() as session:
        accounts.set_active(session, _own(session, account_id), active=do == "go")
    flash("May sign in again." if do == "go" else "May no longer sign in.")
    return see(url_for("settings.people"))


@blueprint.post("/settings/devices/<int:device_id>/withdraw")
def withdraw(device_id: int) -> Response:
    with context.writing() as session:
        find_of(session, context.current_event(), TrustedDevice, device_id, "device")
        accounts.withdraw_device(session, context.event_id(), device_id, acting=context.acting())
    flash("The device is trusted no longer; who was signed in on it is signed out.")
    return see(url_for("settings.people"))
