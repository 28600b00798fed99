"""Tax by price line, refunds and write-offs, invoices

Revision ID: 0010
Revises: 0009
"""

import sqlalchemy as sa
from alembic import op


revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    with op.batch_alter_table("event") as table:
        table.add_column(sa.Column("issuer", sa.String(), server_default="", nullable=False))
    with op.batch_alter_table("price") as table:
        table.add_column(sa.Column("tax_basis_points", sa.Integer(), nullable=True))
    with op.batch_alter_table("charge") as table:
        table.add_column(sa.Column("tax_basis_points", sa.Integer(), server_default="0", nullable=False))
    op.execute(
        "UPDATE charge SET tax_basis_points = "
        "(SELECT event.tax_basis_points FROM event WHERE event.id = charge.event_id)"
    )
    with op.batch_alter_table("settlement") as table:
        table.add_column(sa.Column("kind", sa.String(), server_default="payment", nullable=False))
        table.add_column(sa.Column("takes_back_id", ID, nullable=True))
        table.create_foreign_key(
            "fk_settlement_takes_back_id_settlement", "settlement", ["takes_back_id"], ["id"], ondelete="SET NULL"
        )
    op.execute(
        "UPDATE settlement SET takes_back_id = (SELECT first.id FROM settlement AS first WHERE settlement.note = "
        "'payment ' || CAST(first.id AS VARCHAR) || ' taken back') WHERE amount_minor < 0"
    )
    _invoices()


def _invoices() -> None:
    op.create_table(
        "invoice",
        sa.Column("id", ID, nullable=False),
        sa.Column("event_id", ID, nullable=False),
        sa.Column("player_id", ID, nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("issuer", sa.String(), nullable=False),
        sa.Column("payer", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["event_id"], ["event.id"], name=op.f("fk_invoice_event_id_event"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["player_id"], ["player.id"], name=op.f("fk_invoice_player_id_player"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invoice")),
        sa.UniqueConstraint("event_id", "number", name=op.f("uq_invoice_event_id_number")),
    )
    op.create_index(op.f("ix_invoice_player_id"), "invoice", ["player_id"])
    op.create_table(
        "invoice_line",
        sa.Column("id", ID, nullable=False),
        sa.Column("invoice_id", ID, nullable=False),
        sa.Column("charge_id", ID, nullable=False),
        sa.ForeignKeyConstraint(
            ["invoice_id"], ["invoice.id"], name=op.f("fk_invoice_line_invoice_id_invoice"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["charge_id"], ["charge.id"], name=op.f("fk_invoice_line_charge_id_charge"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invoice_line")),
        sa.UniqueConstraint("charge_id", name=op.f("uq_invoice_line_charge_id")),
    )
    op.create_index(op.f("ix_invoice_line_invoice_id"), "invoice_line", ["invoice_id"])


def downgrade() -> None:
    op.drop_table("invoice_line")
    op.drop_table("invoice")
    with op.batch_alter_table("settlement") as table:
        table.drop_constraint("fk_settlement_takes_back_id_settlement", type_="foreignkey")
        table.drop_column("takes_back_id")
        table.drop_column("kind")
    with op.batch_alter_table("charge") as table:
        table.drop_column("tax_basis_points")
    with op.batch_alter_table("price") as table:
        table.drop_column("tax_basis_points")
    with op.batch_alter_table("event") as table:
        table.drop_column("issuer")
