"""Heart-beats of planners, forms that were sent, sessions that end at the server

Revision ID: 0011
Revises: 0010
"""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

NUMBER = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "planner_beat",
        sa.Column("id", NUMBER, nullable=False),
        sa.Column("holder", sa.String(), nullable=False),
        sa.Column("beats", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_planner_beat"),
        sa.UniqueConstraint("holder", name="uq_planner_beat_holder"),
    )
    op.create_table(
        "sent_form",
        sa.Column("id", NUMBER, nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_sent_form"),
        sa.UniqueConstraint("digest", name="uq_sent_form_digest"),
    )
    op.create_table(
        "signed_session",
        sa.Column("id", NUMBER, nullable=False),
        sa.Column("key_hash", sa.String(), nullable=False),
        sa.Column("account_id", NUMBER, nullable=True),
        sa.Column("stringer_id", NUMBER, nullable=True),
        sa.Column("begun_at", sa.DateTime(), nullable=False),
        sa.Column("ended_at", sa.DateTime(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_signed_session"),
        sa.UniqueConstraint("key_hash", name="uq_signed_session_key_hash"),
        sa.ForeignKeyConstraint(
            ["account_id"], ["account.id"], name="fk_signed_session_account_id_account", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["stringer_id"], ["stringer.id"], name="fk_signed_session_stringer_id_stringer", ondelete="CASCADE"
        ),
    )
    op.create_index("ix_signed_session_account_id", "signed_session", ["account_id"])
    op.create_index("ix_signed_session_stringer_id", "signed_session", ["stringer_id"])
    if op.get_bind().dialect.name == "postgresql":
        # They refer to numbers of eight bytes and were made with four.
        for column in ("own_stringer_id", "own_machine_id"):
            op.alter_column("player", column, type_=sa.BigInteger())


def downgrade() -> None:
    op.drop_table("signed_session")
    op.drop_table("sent_form")
    op.drop_table("planner_beat")
