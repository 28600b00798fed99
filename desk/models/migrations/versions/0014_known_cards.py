"""Cards that are known from an earlier event

Revision ID: 0014
Revises: 0013
"""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    def reference(column: str, table: str, ondelete: str) -> sa.ForeignKeyConstraint:
        name = op.f(f"fk_known_card_{column}_{table}")
        return sa.ForeignKeyConstraint([column], [f"{table}.id"], name=name, ondelete=ondelete)

    references = ("racquet_id", "mains_string_id", "crosses_string_id")
    numbers = ("year", "pieces", "mains_pre_stretch", "crosses_pre_stretch")
    row_id = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    op.create_table(
        "known_card",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        *(sa.Column(name, row_id, nullable=False) for name in references),
        *(sa.Column(name, sa.Integer(), nullable=False) for name in numbers),
        *(sa.Column(name, sa.String(), nullable=False) for name in ("known_from", "tension_unit", "stencil")),
        *(sa.Column(name, sa.String(length=16), nullable=False) for name in ("mains_tension", "crosses_tension")),
        *(sa.Column(name, sa.Boolean(), nullable=False) for name in ("own_mains", "own_crosses")),
        reference("racquet_id", "racquet", "CASCADE"),
        reference("mains_string_id", "string_type", "RESTRICT"),
        reference("crosses_string_id", "string_type", "RESTRICT"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_known_card")),
        sa.UniqueConstraint("racquet_id", name=op.f("uq_known_card_racquet_id")),
    )
    with op.batch_alter_table("known_card", schema=None) as batch_op:
        for column in ("mains_string_id", "crosses_string_id"):
            batch_op.create_index(batch_op.f(f"ix_known_card_{column}"), [column], unique=False)


def downgrade() -> None:
    op.drop_table("known_card")
