"""Contacts: who stands for which players, what each may do, their link, and one drop-off for several players."""

from __future__ import annotations

from flask import Blueprint, flash, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import SelectField, SelectMultipleField, StringField
from wtforms.validators import InputRequired, Length
from wtforms.widgets import CheckboxInput, ListWidget

from desk.models import Contact, Player
from desk.queries.counter.pickup import ready_for_contact
from desk.queries.finding import find_of
from desk.queries.players.contacts import find_contacts, player_choices, stood_for
from desk.queries.word.word_ways import ways_of
from desk.services.counter.handovers import hand_over_to_contact
from desk.services.players import contacts
from desk.services.players.erasing_contacts import erase_contact
from desk.trade.contacts import KINDS, LANGUAGES, LEAVE_WORDS, LEAVES, LONGEST_E_MAIL, PAY_FOR_ALL, USUAL, Leave
from desk.web import context
from desk.web.forms import DeskForm, options, row_number, saving, see, show
from desk.web.qr import contact_link

blueprint = Blueprint("contacts", __name__)


class ContactFields(DeskForm):
    name = StringField("Name", [InputRequired("give the name"), Length(max=contacts.LONGEST_NAME)])
    kind = SelectField("Stands as", choices=options(KINDS.items()))
    phone = StringField("Telephone", [Length(max=40)])
    email = StringField("E-mail", [Length(max=LONGEST_E_MAIL)])
    language = SelectField("Language", choices=options([("", "not known"), *LANGUAGES.items()]))

    def asked(self) -> contacts.ContactForm:
        reached = {"phone": self.phone.data or "", "email": self.email.data or ""}
        return contacts.ContactForm(name=self.name.data, kind=self.kind.data, language=self.language.data, **reached)


class LeaveFields(DeskForm):
    player_id = SelectField("Player", coerce=int, validate_choice=False)
    leaves = SelectMultipleField(
        "May",
        widget=ListWidget(prefix_label=False),
        option_widget=CheckboxInput(),
        choices=options(LEAVE_WORDS.items()),
    )

    def leave(self) -> Leave:
        return Leave(**{name: name in (self.leaves.data or ()) for name in LEAVES})


class TakingForm(DeskForm):
    jobs = SelectMultipleField("Takes with them", coerce=int, validate_choice=False)


def _who(contact_id: int) -> Contact:
    return find_of(context.reading(), context.current_event(), Contact, contact_id, "contact")


def _page(form: ContactFields):
    text = request.args.get("q", "").strip()
    session, event = context.reading(), context.current_event()
    for_id = request.args.get("player", type=int)
    player = None if for_id is None else find_of(session, event, Player, for_id, "player")
    values = {"found": find_contacts(session, event, text), "player": player, "usual": USUAL, "kinds": KINDS}
    return show("players/contacts/page.html", text=text, form=form, pay_for_all=PAY_FOR_ALL, **values)


@blueprint.get("/contacts")
def page():
    return _page(ContactFields(formdata=None))


@blueprint.post("/contacts")
def add():
    form = ContactFields()
    if form.validate_on_submit():
        with saving(form) as session:
            made = contacts.add_contact(session, context.event_id(), form.asked(), acting=context.acting())
            player_id = request.args.get("player", type=int)
            if player_id is not None and made.kind not in PAY_FOR_ALL:
                usual = USUAL[made.kind]
                contacts.stand_for(session, context.event_id(), made.id, player_id, usual, acting=context.acting())
            return see(url_for("contacts.contact", contact_id=made.id))
    return _page(form)


def _one(contact_id: int, **sent: DeskForm):
    who, session, event = _who(contact_id), context.reading(), context.current_event()
    forms = {
        "change": ContactFields(formdata=None, obj=who),
        "stand": LeaveFields(formdata=None, data={"leaves": USUAL[who.kind].given}),
        "end": DeskForm(formdata=None),
        "taking": TakingForm(formdata=None),
    } | sent
    forms["stand"].player_id.choices = options(player_choices(session, event, who.id))
    ready = ready_for_contact(session, event, who.id)
    words = {"ready": ready, "kinds": KINDS, "words": LEAVE_WORDS, "pays_for_all": who.kind in PAY_FOR_ALL}
    found = {"players": stood_for(session, who), "ways": ways_of(session, contact_id=who.id)}
    return show("players/contacts/contact.html", contact=who, **found, **words, **forms)


@blueprint.get("/contacts/<int:contact_id>")
def contact(contact_id: int):
    return _one(contact_id)


@blueprint.post("/contacts/<int:contact_id>")
def change(contact_id: int):
    form = ContactFields()
    if form.validate_on_submit():
        with saving(form, "Kept.") as session:
            contacts.edit_contact(session, context.event_id(), contact_id, form.asked(), acting=context.acting())
            return see(url_for("contacts.contact", contact_id=contact_id))
    return _one(contact_id, change=form)


@blueprint.post("/contacts/<int:contact_id>/players")
def stand(contact_id: int):
    form = LeaveFields()
    if form.validate_on_submit():
        with saving(form, "Kept.") as session:
            at, acting = context.event_id(), context.acting()
            contacts.stand_for(session, at, contact_id, form.player_id.data, form.leave(), acting=acting)
            return see(url_for("contacts.contact", contact_id=contact_id))
    return _one(contact_id, stand=form)


@blueprint.post("/contacts/<int:contact_id>/players/<int:player_id>/remove")
def unstand(contact_id: int, player_id: int) -> Response:
    with context.writing() as session:
        contacts.stand_no_longer(session, context.event_id(), contact_id, player_id, acting=context.acting())
    return see(url_for("contacts.contact", contact_id=contact_id))


@blueprint.get("/contacts/<int:contact_id>/drop-off")
def drop_off(contact_id: int) -> Response:
    """Send the desk through the drop-offs of the players that were ticked, one after another."""
    who = _who(contact_id)
    allowed = {row.player_id for row in stood_for(context.reading(), who) if row.leave.may_drop_off}
    asked = [number for one in request.args.getlist("player") if (number := row_number(one)) in allowed]
    if not asked:
        flash("Tick at least one player who hands in racquets.")
        return see(url_for("contacts.contact", contact_id=who.id))
    first, *then = asked
    return see(url_for("drop_off.player", player_id=first, by=who.id, then=then, take="all"))


@blueprint.post("/contacts/<int:contact_id>/hand-over")
def hand_over(contact_id: int):
    form = TakingForm()
    if form.validate_on_submit():
        with saving(form, "Handed over; a wrong touch can be taken back at pickup.") as session:
            jobs = form.jobs.data or []
            hand_over_to_contact(session, context.event_id(), contact_id, jobs, acting=context.acting())
            return see(url_for("contacts.contact", contact_id=contact_id))
    return _one(contact_id, taking=form)


@blueprint.get("/contacts/<int:contact_id>/link")
def link(contact_id: int) -> str:
    who = _who(contact_id)
    names = [row.player for row in stood_for(context.reading(), who)]
    return render_template(
        "players/contacts/link.html", contact=who, link=contact_link(who.token), names=names, kinds=KINDS
    )


@blueprint.post("/contacts/<int:contact_id>/link")
def new_link(contact_id: int) -> Response:
    with context.writing() as session:
        contacts.new_contact_link(session, context.event_id(), contact_id, acting=context.acting())
    flash("The new link is below; the old one no longer works.")
    return see(url_for("contacts.link", contact_id=contact_id))


@blueprint.post("/contacts/<int:contact_id>/end")
def end(contact_id: int) -> Response:
    with context.writing() as session:
        contacts.end_contact(session, context.event_id(), contact_id, acting=context.acting())
    flash("Ended: the link opens nothing, and the contact is offered nowhere any more.")
    return see(url_for("contacts.contact", contact_id=contact_id))


@blueprint.post("/contacts/<int:contact_id>/take-up")
def take_up(contact_id: int) -> Response:
    with context.writing() as session:
        contacts.take_contact_up(session, context.event_id(), contact_id, acting=context.acting())
    flash("A contact again, with a new link: print it.")
    return see(url_for("contacts.contact", contact_id=contact_id))


@blueprint.post("/contacts/<int:contact_id>/erase")
def erase(contact_id: int):
    form, code = DeskForm(), _who(contact_id).code
    if form.validate_on_submit():
        with saving(form, f"The personal data of {code} are erased; the figures stay whole.") as session:
            erase_contact(session, context.event_id(), contact_id, acting=context.acting())
            return see(url_for("contacts.page"))
    return _one(contact_id, end=form)
