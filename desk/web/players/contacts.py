"""Contacts: who stands for which players, what each may do, their link, and one drop-off for several players."""

from __future__ import annotations

from flask import Blueprint, flash, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import SelectField, SelectMultipleField, StringField
from wtforms.validators import InputRequired, Length

from desk.models import Contact, Player
from desk.queries.counter.pickup import ready_for_contact
from desk.queries.finding import find_of
from desk.queries.players.contacts import find_contacts, player_choices, stood_for
from desk.queries.word.word_ways import ways_of
from desk.services.counter.handovers import hand_over_to_contact
from desk.services.players import contacts
from desk.services.players.erasing_contacts import erase_contact
from desk.trade.addresses import LONGEST_MAIL
from desk.trade.contacts import KINDS, LANGUAGES, LEAVE_WORDS, LEAVES, PAY_FOR_ALL, USUAL, Leave
from desk.web import context
from desk.web.display import link_to
from desk.web.forms import DeskForm, TicksField, options, row_number, saved, saving, see, show
from desk.web.qr import contact_link

blueprint = Blueprint("contacts", __name__)


class ContactFields(DeskForm):
    name = StringField("Name", [InputRequired("give the name"), Length(max=contacts.LONGEST_NAME)])
    kind = SelectField("Stands as", choices=options(KINDS.items()))
    phone = StringField("Telephone", [Length(max=40)])
    email = StringField("E-mail", [Length(max=LONGEST_MAIL)])
    language = SelectField("Language", choices=options([("", "not known"), *LANGUAGES.items()]))


class LeaveFields(DeskForm):
    player_id = SelectField("Player", coerce=int, validate_choice=False)
    leaves = TicksField("May", choices=options(LEAVE_WORDS.items()))

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
            asked = form.asked(contacts.ContactForm)
            made = contacts.add_contact(session, context.event_id(), asked, acting=context.acting())
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
    if saved(form, "Kept.", contacts.edit_contact, contact_id, form.asked(contacts.ContactForm)):
        return _seen(contact_id)
    return _one(contact_id, change=form)


def _seen(contact_id: int) -> Response:
    return see(url_for("contacts.contact", contact_id=contact_id))


@blueprint.post("/contacts/<int:contact_id>/players")
def stand(contact_id: int):
    form = LeaveFields()
    if saved(form, "Kept.", contacts.stand_for, contact_id, form.player_id.data, form.leave()):
        return _seen(contact_id)
    return _one(contact_id, stand=form)


@blueprint.post("/contacts/<int:contact_id>/players/<int:player_id>/remove")
def unstand(contact_id: int, player_id: int) -> Response:
    context.do(contacts.stand_no_longer, contact_id, player_id)
    return _seen(contact_id)


@blueprint.get("/contacts/<int:contact_id>/drop-off")
def drop_off(contact_id: int) -> Response:
    """Send the desk through the drop-offs of the players that were ticked, one after another."""
    who = _who(contact_id)
    allowed = {row.player_id for row in stood_for(context.reading(), who) if row.leave.may_drop_off}
    asked = [number for one in request.args.getlist("player") if (number := row_number(one)) in allowed]
    if not asked:
        flash("Tick at least one player who hands in racquets.")
        return _seen(who.id)
    first, *then = asked
    return see(url_for("drop_off.player", player_id=first, by=who.id, then=then, take="all"))


@blueprint.post("/contacts/<int:contact_id>/hand-over")
def hand_over(contact_id: int):
    form, done = TakingForm(), "Handed over; a wrong touch can be taken back at pickup."
    if saved(form, done, hand_over_to_contact, contact_id, form.jobs.data or []):
        return _seen(contact_id)
    return _one(contact_id, taking=form)


@blueprint.get("/contacts/<int:contact_id>/link")
def link(contact_id: int) -> str:
    who = _who(contact_id)
    names = [row.player for row in stood_for(context.reading(), who)]
    ways = {"way_back": url_for("contacts.contact", contact_id=who.id)}
    ways["new_link"] = link_to("contacts.new_link", contact_id=who.id)
    return render_template("counter/print/link.html", name=who.name, names=names, link=contact_link(who.token), **ways)


@blueprint.post("/contacts/<int:contact_id>/link")
def new_link(contact_id: int) -> Response:
    context.do(contacts.new_contact_link, contact_id)
    flash("The new link is below; the old one no longer works.")
    return see(url_for("contacts.link", contact_id=contact_id))


@blueprint.post("/contacts/<int:contact_id>/end")
def end(contact_id: int) -> Response:
    context.do(contacts.end_contact, contact_id)
    flash("Ended: the link opens nothing, and the contact is offered nowhere any more.")
    return _seen(contact_id)


@blueprint.post("/contacts/<int:contact_id>/take-up")
def take_up(contact_id: int) -> Response:
    context.do(contacts.take_contact_up, contact_id)
    flash("A contact again, with a new link: print it.")
    return _seen(contact_id)


@blueprint.post("/contacts/<int:contact_id>/erase")
def erase(contact_id: int):
    form, code = DeskForm(), _who(contact_id).code
    if saved(form, f"The personal data of {code} are erased; the figures stay whole.", erase_contact, contact_id):
        return see(url_for("contacts.page"))
    return _one(contact_id, end=form)
