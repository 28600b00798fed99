"""Sign-in by password, by PIN on a trusted bench device, and sign-out."""

from __future__ import annotations

from flask import Blueprint, flash, g, request, session, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response
from wtforms import HiddenField, PasswordField, RadioField, StringField
from wtforms.validators import InputRequired

from desk.errors import Busy, NotAllowed
from desk.models import Account, Event, Stringer, TrustedDevice
from desk.queries.event.events import only_open_event, stringer_names
from desk.services.team import account_links, accounts
from desk.services.team.guessing import place_to_try, wrong_addresses
from desk.services.team.signed_sessions import begin_session, end_session
from desk.trade.event.event_time import utc_now
from desk.web import access, context
from desk.web.forms import DeskForm, options, saving, see, show
from desk.web.team.known_browsers import keep_cookie, known_browser, remember_browser

blueprint = Blueprint("sign_in", __name__)
DEVICE_COOKIE = "desk_bench"
DEVICE_DAYS = 40
WRONG = "Name and password do not match. Try again."
WRONG_PIN = "That is not the PIN of this name. Try again."


class PasswordForm(DeskForm):
    name = StringField("Name", [InputRequired("give your name")])
    password = PasswordField("Password", [InputRequired("give your password")])
    next = HiddenField()


class NewPasswordForm(DeskForm):
    password = PasswordField("Your new password", [InputRequired("give a password")])


class PinForm(DeskForm):
    stringer = RadioField("Who are you?", coerce=int, validators=[InputRequired("choose your name")])
    pin = PasswordField("PIN", [InputRequired("type your PIN")])


class TrustForm(DeskForm):
    name = StringField("Name of this device", [InputRequired("such as “tablet at bench 3”")])


@blueprint.route("/sign-in", methods=["GET", "POST"])
def password():
    form = PasswordForm(next=request.args.get("next", ""))
    if form.validate_on_submit():
        account = _try_password(form)
        if account is not None:
            with context.writing() as writing:
                _begin_as(writing, account)
            return remember_browser(see(access.safe_way_back(form.next.data, url_for("events.enter"))), account)
    return show("team/sign_in/password.html", form=form, device=_device())


def _try_password(form: PasswordForm) -> Account | None:
    browser = known_browser(form.name.data)
    try:
        with context.writing() as writing:
            tried = accounts.open_password_try(writing, form.name.data, now=utc_now(), browser=browser)
        if not tried.is_right(form.password.data, g.who_tries):
            wrong_addresses.note(request.remote_addr or "")
            form.trouble = WRONG
            return None
        with context.writing() as writing:
            return accounts.accept_password(writing, tried.row_id, browser=browser)
    except (NotAllowed, Busy) as error:
        form.trouble = str(error)
        return None


@blueprint.route("/welcome/<token>", methods=["GET", "POST"])
def welcome(token: str):
    form = NewPasswordForm()
    if form.validate_on_submit():
        with saving(form) as writing:
            _begin_as(writing, account_links.choose_password(writing, token, form.password.data, now=utc_now()))
            return see(url_for("events.enter"))
    account = account_links.account_of_link(context.reading(), token, now=utc_now())
    return show("team/sign_in/welcome.html", form=form, name=account.name)


def _begin_as(writing: Session, account: Account) -> None:
    key = begin_session(writing, account_id=account.id, now=utc_now())
    _begin(account_id=account.id, stamp=context.password_stamp(account.password_hash), key=key)
    session["event_id"] = account.event_id or only_open_event(context.reading())


def _begin(**values: object) -> None:
    session.clear()
    session.permanent = True
    session.update(values)


def _begin_at_bench(stringer: Stringer, device: TrustedDevice) -> None:
    with context.writing() as writing:
        key = begin_session(writing, stringer_id=stringer.id, now=utc_now())
    stamp = context.password_stamp(stringer.pin_hash)
    _begin(stringer_id=stringer.id, device_id=device.id, event_id=device.event_id, stamp=stamp, key=key)


def _end() -> None:
    """End this browser's session, here and at the server."""
    with context.writing() as writing:
        end_session(writing, session.get("key", ""), now=utc_now())
    session.clear()


def _device() -> TrustedDevice | None:
    return accounts.device_of_token(context.reading(), request.cookies.get(DEVICE_COOKIE, ""))


@blueprint.route("/bench-sign-in", methods=["GET", "POST"])
def pin():
    device = _device()
    if device is None:
        raise NotAllowed("This device is not trusted for PINs. The desk lead trusts it once: sign in as lead on it.")
    form = PinForm()
    form.stringer.choices = options(stringer_names(context.reading(), device.event_id))
    if form.validate_on_submit():
        stringer = _try_pin(form, device)
        if stringer is not None:
            _begin_at_bench(stringer, device)
            return see(url_for("events.enter"))
    event = context.reading().get_one(Event, device.event_id)
    return show("team/sign_in/pin.html", form=form, device=device, at_event=event)


def _try_pin(form: PinForm, device: TrustedDevice) -> Stringer | None:
    try:
        with place_to_try("known"):
            with context.writing() as writing:
                tried = accounts.open_pin_try(writing, device.id, form.stringer.data, now=utc_now())
            if not tried.is_right(form.pin.data, "known"):
                form.trouble = WRONG_PIN
                return None
            with context.writing() as writing:
                return accounts.accept_pin(writing, device.id, tried.row_id)
    except (NotAllowed, Busy) as error:
        form.trouble = str(error)
        return None


@blueprint.post("/sign-out")
def out() -> Response:
    _end()
    flash("You are signed out.")
    return see(url_for("sign_in.pin" if _device() else "sign_in.password"))


@blueprint.route("/trust-device", methods=["GET", "POST"])
def trust():
    form = TrustForm()
    if form.validate_on_submit():
        with saving(form) as writing:
            token = accounts.trust_device(writing, context.event_id(), form.name.data, acting=context.acting())
            session.clear()
            flash("This device is trusted. Stringers sign in here with their PIN; you are signed out.")
            path = url_for("sign_in.password").rsplit("/", 1)[0] or "/"
            return keep_cookie(see(url_for("sign_in.pin")), DEVICE_COOKIE, token, days=DEVICE_DAYS, path=path)
    return show("team/sign_in/trust.html", form=form)
