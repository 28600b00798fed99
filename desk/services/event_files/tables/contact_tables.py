"""The tables of those who stand for players, and of who pays by rule."""

from __future__ import annotations

from desk.models import Contact, ContactPlayer, PayRule
from desk.services.event_files.cells.plain_cells import checked, some_of, whole, yes_no
from desk.services.event_files.tables.columns import called, choice, key_code, one_in
from desk.services.event_files.tables.spec import Column, Table
from desk.trade.contacts import COVERS, KINDS, LANGUAGES, MOST_RACQUETS, email_fault, phone_fault

CONTACTS = Table(
    name="contacts",
    explanation="Those who stand for players, and who else pays for racquets.",
    key=("code",),
    record=Contact,
    columns=(
        key_code("the contact", "C01"),
        called("Name", "Rosa Achterberg"),
        choice("kind", "", tuple(KINDS), "coach", required=True),
        Column("phone", "Telephone", "+351 555 0100", checked(phone_fault), default=""),
        Column("email", "E-mail", "rosa@example.org", checked(email_fault), default=""),
        choice("language", "Language: ", tuple(LANGUAGES), "en", default=""),
    ),
)


def _may(name: str, what: str, stored: str = "") -> Column:
    return Column(name, f"{what}: yes or no; empty as is usual for the kind", "", yes_no, stored=stored)


CONTACT_PLAYERS = Table(
    name="contact_players",
    explanation="For which players a contact stands, and what it may do for each.",
    key=("contact", "player"),
    record=ContactPlayer,
    columns=(
        one_in("contacts", "contact", "Code of the contact", "C01", required=True),
        one_in("players", "player", "Code of the player", "P01", required=True),
        _may("drops_off", "Whether the contact hands racquets in", "may_drop_off"),
        _may("collects", "Whether it takes them", "may_collect"),
        _may("is_told", "Whether it is told when one is ready"),
        _may("pays", "Whether it may pay", "may_pay"),
        _may("sees_prices", "Whether its page shows the prices"),
    ),
)

PAY_RULES = Table(
    name="pay_rules",
    explanation="Who pays what by rule, in the order in which the rules are asked; what no rule names the player pays.",
    record=PayRule,
    columns=(
        one_in("contacts", "payer", "Code of the contact that pays", "C02", required=True),
        Column(
            "covers",
            "everything, or some of " + ", ".join(COVERS),
            "labour on_court",
            some_of(*COVERS),
            required=True,
            stored=None,
        ),
        one_in("players", "player", "Code of the one player for whom; empty for all"),
        Column(
            "first_racquets",
            "Only the first so many racquets of each player; empty for all",
            "",
            whole(1, MOST_RACQUETS),
        ),
    ),
)

CONTACT_TABLES = (CONTACTS, CONTACT_PLAYERS, PAY_RULES)
