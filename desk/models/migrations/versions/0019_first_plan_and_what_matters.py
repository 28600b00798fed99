"""Own bench by the first plan, which racquet of a bag matters, whether players read who strings

Revision ID: 0019
Revises: 0018
"""

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None

OWN = (("first_stringer_id", "stringer"), ("first_machine_id", "machine"))


def upgrade() -> None:
    row_id = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    with op.batch_alter_table("player", schema=None) as batch_op:
        for column, target in OWN:
            batch_op.add_column(sa.Column(column, row_id, nullable=True))
            name = batch_op.f(f"fk_player_{column}_{target}")
            batch_op.create_foreign_key(name, target, [column], ["id"], ondelete="SET NULL")
    with op.batch_alter_table("job", schema=None) as batch_op:
        batch_op.add_column(sa.Column("matters", sa.String(), nullable=False, server_default=""))
    with op.batch_alter_table("event", schema=None) as batch_op:
        batch_op.add_column(sa.Column("names_stringers", sa.Boolean(), nullable=False, server_default=sa.true()))


def downgrade() -> None:
    with op.batch_alter_table("event", schema=None) as batch_op:
        batch_op.drop_column("names_stringers")
    with op.batch_alter_table("job", schema=None) as batch_op:
        batch_op.drop_column("matters")
    with op.batch_alter_table("player", schema=None) as batch_op:
        for column, target in reversed(OWN):
            batch_op.drop_constraint(batch_op.f(f"fk_player_{column}_{target}"), type_="foreignkey")
            batch_op.drop_column(column)
