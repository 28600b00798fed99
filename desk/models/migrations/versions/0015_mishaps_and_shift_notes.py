"""Mishaps, and the notes of a shift

Revision ID: 0015
Revises: 0014
"""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "mishap",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("event_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("job_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("again_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("done", sa.String(), nullable=False),
        sa.Column("closed_at", sa.DateTime(), nullable=True),
        sa.Column("closed_by", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["again_id"], ["job.id"], name=op.f("fk_mishap_again_id_job"), ondelete="SET NULL"),
        sa.ForeignKeyConstraint(["event_id"], ["event.id"], name=op.f("fk_mishap_event_id_event"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_mishap_job_id_job"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mishap")),
    )
    op.create_index(op.f("ix_mishap_event_id"), "mishap", ["event_id"])
    op.create_index(op.f("ix_mishap_job_id"), "mishap", ["job_id"])
    op.create_table(
        "shift_note",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("event_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("stood", sa.JSON(), nullable=False),
        sa.Column("taken_over_at", sa.DateTime(), nullable=True),
        sa.Column("taken_over_by", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["event_id"], ["event.id"], name=op.f("fk_shift_note_event_id_event"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shift_note")),
    )
    op.create_index(op.f("ix_shift_note_event_id"), "shift_note", ["event_id"])


def downgrade() -> None:
    op.drop_table("shift_note")
    op.drop_table("mishap")
