"""Checks of machines by interval, and when they were done

Revision ID: 0017
Revises: 0016
"""

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
USUAL = (
    ("Clean clamps and gripper", 40, None, "Coating and dust let a string slip. No racquet on the machine."),
    ("Clamps hold", 150, None, "They close parallel, at the right pressure, and leave no mark."),
    ("Gripper jaws", 150, 75, "Worn or smooth jaws let a string slip. Switch off and unplug an electric machine first."),
    ("Tension head and its rail", 300, 150, "Switch off and unplug an electric machine first."),
    ("Turntable, posts and side supports", 300, 150, "Nothing loose, nothing sharp where the frame lies."),
    (
        "Cable, plug and switch",
        None,
        150,
        "Switch off and unplug an electric machine first. A damaged cable is for an electrician.",
    ),
    ("Service by somebody trained", 2000, 1000, "After the maker's manual."),
)


def upgrade() -> None:
    check = op.create_table(
        "machine_check",
        sa.Column("id", ID, nullable=False),
        sa.Column("event_id", ID, nullable=False),
        sa.Column("machine_id", ID, nullable=True),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("every_racquets", sa.Integer(), nullable=True),
        sa.Column("every_hours", sa.Integer(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("dropped_at", sa.DateTime(), nullable=True),
        sa.ForeignKeyConstraint(
            ["event_id"], ["event.id"], name=op.f("fk_machine_check_event_id_event"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["machine_id"], ["machine.id"], name=op.f("fk_machine_check_machine_id_machine"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_machine_check")),
    )
    op.create_index(op.f("ix_machine_check_event_id"), "machine_check", ["event_id"])
    op.create_table(
        "machine_care",
        sa.Column("id", ID, nullable=False),
        sa.Column("machine_id", ID, nullable=False),
        sa.Column("check_id", ID, nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("undone_at", sa.DateTime(), nullable=True),
        sa.Column("undone_by", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["machine_id"], ["machine.id"], name=op.f("fk_machine_care_machine_id_machine"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["check_id"], ["machine_check.id"], name=op.f("fk_machine_care_check_id_machine_check"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_machine_care")),
    )
    for column in ("machine_id", "check_id"):
        op.create_index(op.f(f"ix_machine_care_{column}"), "machine_care", [column])
    _begin_lists(check)


def _begin_lists(check: sa.Table) -> None:
    """Give the events that there are the usual checks."""
    events = [row[0] for row in op.get_bind().execute(sa.text("SELECT id FROM event ORDER BY id"))]
    names = ("name", "every_racquets", "every_hours", "note")
    rows = [dict(zip(names, one, strict=True)) | {"event_id": event} for event in events for one in USUAL]
    if rows:
        op.bulk_insert(check, rows)


def downgrade() -> None:
    op.drop_table("machine_care")
    op.drop_table("machine_check")
