"""Rehearsals on their way, and wishes about whose players are whose

Revision ID: 0018
Revises: 0017
"""

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "rehearsal_run",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("event_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("asked_at", sa.DateTime(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("asked", sa.JSON(), nullable=False),
        sa.Column("done", sa.Integer(), nullable=False),
        sa.Column("of", sa.Integer(), nullable=False),
        sa.Column("seconds_left", sa.Double(), nullable=False),
        sa.Column("beats", sa.Integer(), nullable=False),
        sa.Column("stop_asked", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("is_over", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("trouble", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["event_id"], ["event.id"], name=op.f("fk_rehearsal_run_event_id_event"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rehearsal_run")),
    )
    op.create_index(op.f("ix_rehearsal_run_event_id"), "rehearsal_run", ["event_id"])
    op.create_table(
        "player_wish",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("event_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("player_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("stringer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("other_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["event_id"], ["event.id"], name=op.f("fk_player_wish_event_id_event"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["other_id"], ["player.id"], name=op.f("fk_player_wish_other_id_player"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["player_id"], ["player.id"], name=op.f("fk_player_wish_player_id_player"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["stringer_id"], ["stringer.id"], name=op.f("fk_player_wish_stringer_id_stringer"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_player_wish")),
    )
    op.create_index(op.f("ix_player_wish_event_id"), "player_wish", ["event_id"])
    op.create_index(op.f("ix_player_wish_player_id"), "player_wish", ["player_id"])


def downgrade() -> None:
    op.drop_table("player_wish")
    op.drop_table("rehearsal_run")
