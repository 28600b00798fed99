"""Contacts of players, who brought and who took, and who pays

Revision ID: 0016
Revises: 0015
"""

import sqlalchemy as sa
from alembic import op
from alembic.operations import BatchOperations

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
MAY = ("may_drop_off", "may_collect", "is_told", "may_pay", "sees_prices")


def upgrade() -> None:
    _contacts()
    _pay_rules()
    for table, column in (("drop_off", "brought_by_id"), ("hand_over", "collected_by_id")):
        with op.batch_alter_table(table) as batch:
            _refer(batch, table, column, "SET NULL")
            if table == "drop_off":
                batch.add_column(sa.Column("brought_by", sa.String(), server_default="", nullable=False))
    for table in ("charge", "settlement", "invoice"):
        with op.batch_alter_table(table) as batch:
            _refer(batch, table, "payer_id", "RESTRICT")
            if table != "charge":
                batch.alter_column("player_id", existing_type=ID, nullable=True)


def _refer(batch: BatchOperations, table: str, column: str, ondelete: str) -> None:
    batch.add_column(sa.Column(column, ID, nullable=True))
    batch.create_foreign_key(op.f(f"fk_{table}_{column}_contact"), "contact", [column], ["id"], ondelete=ondelete)
    batch.create_index(op.f(f"ix_{table}_{column}"), [column])


def _contacts() -> None:
    op.create_table(
        "contact",
        sa.Column("id", ID, nullable=False),
        sa.Column("event_id", ID, nullable=False),
        *(sa.Column(name, sa.String(), nullable=False) for name in ("code", "name", "search_name", "kind")),
        *(sa.Column(name, sa.String(), nullable=False) for name in ("phone", "email", "language", "token")),
        sa.Column("token_issued_at", sa.DateTime(), nullable=False),
        sa.Column("ended_at", sa.DateTime(), nullable=True),
        sa.Column("erased_at", sa.DateTime(), nullable=True),
        sa.ForeignKeyConstraint(["event_id"], ["event.id"], name=op.f("fk_contact_event_id_event"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_contact")),
        sa.UniqueConstraint("event_id", "code", name=op.f("uq_contact_event_id_code")),
        sa.UniqueConstraint("token", name=op.f("uq_contact_token")),
    )
    op.create_index(op.f("ix_contact_search_name"), "contact", ["search_name"])
    op.create_table(
        "contact_player",
        sa.Column("id", ID, nullable=False),
        sa.Column("contact_id", ID, nullable=False),
        sa.Column("player_id", ID, nullable=False),
        *(sa.Column(name, sa.Boolean(), server_default=sa.false(), nullable=False) for name in MAY),
        sa.ForeignKeyConstraint(
            ["contact_id"], ["contact.id"], name=op.f("fk_contact_player_contact_id_contact"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["player_id"], ["player.id"], name=op.f("fk_contact_player_player_id_player"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_contact_player")),
        sa.UniqueConstraint("contact_id", "player_id", name=op.f("uq_contact_player_contact_id_player_id")),
    )
    op.create_index(op.f("ix_contact_player_player_id"), "contact_player", ["player_id"])


def _pay_rules() -> None:
    op.create_table(
        "pay_rule",
        sa.Column("id", ID, nullable=False),
        sa.Column("event_id", ID, nullable=False),
        sa.Column("payer_id", ID, nullable=False),
        sa.Column("player_id", ID, nullable=True),
        sa.Column("covers", sa.String(), nullable=False),
        sa.Column("first_racquets", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["event_id"], ["event.id"], name=op.f("fk_pay_rule_event_id_event"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["payer_id"], ["contact.id"], name=op.f("fk_pay_rule_payer_id_contact"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["player_id"], ["player.id"], name=op.f("fk_pay_rule_player_id_player"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pay_rule")),
    )
    for column in ("event_id", "payer_id", "player_id"):
        op.create_index(op.f(f"ix_pay_rule_{column}"), "pay_rule", [column])


def downgrade() -> None:
    op.execute("DELETE FROM invoice WHERE player_id IS NULL")
    op.execute("DELETE FROM settlement WHERE player_id IS NULL")
    for table in ("charge", "settlement", "invoice"):
        with op.batch_alter_table(table) as batch:
            _forget(batch, table, "payer_id")
            if table != "charge":
                batch.alter_column("player_id", existing_type=ID, nullable=False)
    for table, column in (("drop_off", "brought_by_id"), ("hand_over", "collected_by_id")):
        with op.batch_alter_table(table) as batch:
            _forget(batch, table, column)
            if table == "drop_off":
                batch.drop_column("brought_by")
    for table in ("pay_rule", "contact_player", "contact"):
        op.drop_table(table)


def _forget(batch: BatchOperations, table: str, column: str) -> None:
    batch.drop_index(op.f(f"ix_{table}_{column}"))
    batch.drop_constraint(op.f(f"fk_{table}_{column}_contact"), type_="foreignkey")
    batch.drop_column(column)
