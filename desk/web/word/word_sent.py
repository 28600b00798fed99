"""What was told, waits or failed, with a second try; and who is told by which way, kept at the desk."""

from __future__ import annotations

from flask import Blueprint, current_app, flash, url_for
from werkzeug.wrappers import Response
from wtforms import SelectField, StringField
from wtforms.validators import InputRequired, Length

from desk.models import Player
from desk.queries.finding import find_of
from desk.queries.word.word_ways import MAIL, doors, ways_of
from desk.queries.word.words import sender_beats, word_page
from desk.services.word.sending import give_up as give_up_word
from desk.services.word.sending import try_again
from desk.services.word.word_ways import Asked, ask, stop_way
from desk.trade.addresses import LONGEST_MAIL
from desk.trade.contacts import LANGUAGES
from desk.web import context
from desk.web.forms import DeskForm, options, saved, see, show

blueprint = Blueprint("word_sent", __name__)


class WayFields(DeskForm):
    address = StringField("E-mail address", [InputRequired("give an address"), Length(max=LONGEST_MAIL)])
    language = SelectField("In", choices=options(LANGUAGES.items()))


def silent_seconds() -> float:
    """Return for how long nothing was heard of the sender; 0 while it is well, or nobody watches."""
    watch = current_app.extensions.get("sender_watch")
    return 0.0 if watch is None else watch.silent_seconds(sender_beats(context.reading()))


@blueprint.get("/word")
def page():
    event = context.current_event()
    found = word_page(context.reading(), event, context.event_time())
    is_demo = event.clock_real_at is not None
    return show("word/page.html", found=found, doors=doors(), silent=silent_seconds(), is_demo=is_demo)


@blueprint.post("/word/<int:word_id>/again")
def again(word_id: int) -> Response:
    context.do(try_again, word_id)
    flash("It is sent again now.")
    return see(url_for("word_sent.page"))


@blueprint.post("/word/<int:word_id>/give-up")
def give_up(word_id: int) -> Response:
    context.do(give_up_word, word_id)
    flash("It is given up and stands below.")
    return see(url_for("word_sent.page"))


@blueprint.route("/players/<int:player_id>/word", methods=["GET", "POST"])
def ways(player_id: int):
    session, event = context.reading(), context.current_event()
    who, form = find_of(session, event, Player, player_id, "player"), WayFields()
    asked = Asked(kind=MAIL, address=form.address.data.strip(), language=form.language.data, player_id=who.id)
    if saved(form, f"{who.called} is told by e-mail from now on.", ask, asked):
        return see(url_for("word_sent.ways", player_id=who.id))
    found = ways_of(session, player_id=who.id)
    return show("word/ways.html", player=who, ways=found, form=form, doors=doors(), tells=event.tells_anybody)


@blueprint.post("/word/ways/<int:way_id>/end")
def end(way_id: int) -> Response:
    way = context.do(stop_way, way_id)
    flash(f"{way.called} is told no more by that way.")
    if way.player_id is None:
        return see(url_for("contacts.contact", contact_id=way.contact_id))
    return see(url_for("word_sent.ways", player_id=way.player_id))
