"""Word when a racquet is ready: ways, words, their sender, and the settings

Revision ID: 0021
Revises: 0020
"""

import sqlalchemy as sa
from alembic import op

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None

NUMBER = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "word_sender",
        sa.Column("id", NUMBER, nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("holder", sa.String(), nullable=False),
        sa.Column("until_at", sa.DateTime(), nullable=False),
        sa.Column("beats", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_word_sender"),
        sa.UniqueConstraint("name", name="uq_word_sender_name"),
    )
    op.create_table(
        "word_way",
        sa.Column("id", NUMBER, nullable=False),
        sa.Column("event_id", NUMBER, nullable=False),
        sa.Column("player_id", NUMBER, nullable=True),
        sa.Column("contact_id", NUMBER, nullable=True),
        *(sa.Column(name, sa.String(), nullable=False) for name in ("kind", "language", "address", "public_key")),
        *(sa.Column(name, sa.String(), nullable=False) for name in ("auth_secret", "stop_token")),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("ended_at", sa.DateTime(), nullable=True),
        sa.Column("ended_why", sa.String(), nullable=False),
        _reference("word_way", "contact_id", "contact"),
        _reference("word_way", "event_id", "event"),
        _reference("word_way", "player_id", "player"),
        sa.PrimaryKeyConstraint("id", name="pk_word_way"),
        sa.UniqueConstraint("stop_token", name="uq_word_way_stop_token"),
    )
    for column in ("contact_id", "event_id", "player_id"):
        op.create_index(f"ix_word_way_{column}", "word_way", [column])
    op.create_table(
        "word",
        sa.Column("id", NUMBER, nullable=False),
        sa.Column("event_id", NUMBER, nullable=False),
        sa.Column("way_id", NUMBER, nullable=False),
        sa.Column("job_id", NUMBER, nullable=False),
        sa.Column("occasion", sa.String(), nullable=False),
        sa.Column("cause_id", NUMBER, nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("known_at", sa.DateTime(), nullable=True),
        sa.Column("ready_at", sa.DateTime(), nullable=True),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("next_at", sa.DateTime(), nullable=True),
        sa.Column("tried_at", sa.DateTime(), nullable=True),
        sa.Column("letter", sa.String(), nullable=False),
        sa.Column("why", sa.String(), nullable=False),
        _reference("word", "event_id", "event"),
        _reference("word", "job_id", "job"),
        _reference("word", "way_id", "word_way"),
        sa.PrimaryKeyConstraint("id", name="pk_word"),
        sa.UniqueConstraint(
            "way_id", "job_id", "occasion", "cause_id", name="uq_word_way_id_job_id_occasion_cause_id"
        ),
    )
    op.create_index("ix_word_event_id_state", "word", ["event_id", "state"])
    for column in ("job_id", "letter"):
        op.create_index(f"ix_word_{column}", "word", [column])
    with op.batch_alter_table("event", schema=None) as batch_op:
        for name in ("tells_anybody", "mail_by_players"):
            batch_op.add_column(sa.Column(name, sa.Boolean(), server_default=sa.true(), nullable=False))
        for name, hour in (("word_from_hour", "7"), ("word_until_hour", "22")):
            batch_op.add_column(sa.Column(name, sa.Integer(), server_default=hour, nullable=False))


def downgrade() -> None:
    with op.batch_alter_table("event", schema=None) as batch_op:
        for name in ("word_until_hour", "word_from_hour", "mail_by_players", "tells_anybody"):
            batch_op.drop_column(name)
    for table in ("word", "word_way", "word_sender"):
        op.drop_table(table)


def _reference(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    name = f"fk_{table}_{column}_{target}"
    return sa.ForeignKeyConstraint([column], [f"{target}.id"], name=name, ondelete="CASCADE")
