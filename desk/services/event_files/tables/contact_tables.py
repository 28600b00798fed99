"""The tables of those who stand for players, and of who pays by rule."""

from __future__ import annotations

from desk.services.event_files.cells import plain_cells
from desk.services.event_files.tables.set_up_tables import code_column, name_column
from desk.services.event_files.tables.spec import Column, Table
from desk.trade.contacts import COVERS, KINDS, LANGUAGES, MOST_RACQUETS, email_fault, phone_fault

CONTACTS = Table(
    name="contacts",
    explanation="Those who stand for players, and who else pays for racquets.",
    key=("code",),
    columns=(
        code_column("the contact", "C01"),
        name_column("Name", "Rosa Achterberg"),
        Column("kind", "One of " + ", ".join(KINDS), "coach", plain_cells.one_of(*KINDS), required=True),
        Column("phone", "Telephone", "+351 555 0100", plain_cells.checked(phone_fault), default=""),
        Column("email", "E-mail", "rosa@example.org", plain_cells.checked(email_fault), default=""),
        Column("language", "Language: " + ", ".join(LANGUAGES), "en", plain_cells.one_of(*LANGUAGES), default=""),
    ),
)


def _may(name: str, what: str) -> Column:
    return Column(name, f"{what}: yes or no; empty as is usual for the kind", "", plain_cells.yes_no)


CONTACT_PLAYERS = Table(
    name="contact_players",
    explanation="For which players a contact stands, and what it may do for each.",
    key=("contact", "player"),
    columns=(
        Column("contact", "Code of the contact", "C01", plain_cells.code, required=True, refers="contacts"),
        Column("player", "Code of the player", "P01", plain_cells.code, required=True, refers="players"),
        _may("drops_off", "Whether the contact hands racquets in"),
        _may("collects", "Whether it takes them"),
        _may("is_told", "Whether it is told when one is ready"),
        _may("pays", "Whether it may pay"),
        _may("sees_prices", "Whether its page shows the prices"),
    ),
)

PAY_RULES = Table(
    name="pay_rules",
    explanation="Who pays what by rule, in the order in which the rules are asked; what no rule names the player pays.",
    columns=(
        Column("payer", "Code of the contact that pays", "C02", plain_cells.code, required=True, refers="contacts"),
        Column(
            "covers",
            "everything, or some of " + ", ".join(COVERS),
            "labour on_court",
            plain_cells.some_of(*COVERS),
            required=True,
        ),
        Column("player", "Code of the one player for whom; empty for all", "", plain_cells.code, refers="players"),
        Column(
            "first_racquets",
            "Only the first so many racquets of each player; empty for all",
            "",
            plain_cells.whole(1, MOST_RACQUETS),
        ),
    ),
)
