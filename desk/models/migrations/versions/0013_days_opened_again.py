"""Days opened again, pay of stringers, the form of CSV files

Revision ID: 0013
Revises: 0012
"""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "day_opening",
        sa.Column("id", ID, nullable=False),
        sa.Column("day_id", ID, nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("closed_at", sa.DateTime(), nullable=False),
        sa.Column("closed_by", sa.String(), nullable=False),
        sa.Column("figures", sa.JSON(none_as_null=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["day_id"], ["event_day.id"], name=op.f("fk_day_opening_day_id_event_day"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_day_opening")),
    )
    op.create_index(op.f("ix_day_opening_day_id"), "day_opening", ["day_id"])
    with op.batch_alter_table("event") as table:
        table.add_column(sa.Column("csv_form", sa.String(), server_default="comma", nullable=False))
    with op.batch_alter_table("stringer") as table:
        table.add_column(sa.Column("rate_minor", sa.Integer(), nullable=True))
        table.add_column(sa.Column("rate_per", sa.String(), server_default="racquet", nullable=False))


def downgrade() -> None:
    with op.batch_alter_table("stringer") as table:
        table.drop_column("rate_per")
        table.drop_column("rate_minor")
    with op.batch_alter_table("event") as table:
        table.drop_column("csv_form")
    op.drop_table("day_opening")
