"""After which change of a racquet a machine was read, and a check of it done

Revision ID: 0026
Revises: 0025
"""

import sqlalchemy as sa
from alembic import op

revision = "0026"
down_revision = "0025"
branch_labels = None
depends_on = None

TABLES = ("calibration", "machine_care")
AFTER = """
UPDATE {table} SET after_change_id = (
    SELECT max(state_change.id) FROM state_change
    JOIN job ON job.id = state_change.job_id JOIN machine ON machine.event_id = job.event_id
    WHERE machine.id = {table}.machine_id AND state_change.at <= {table}.at
)
"""


def upgrade() -> None:
    row_id = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    for table in TABLES:
        with op.batch_alter_table(table) as batch:
            batch.add_column(sa.Column("after_change_id", row_id, nullable=True))
            batch.create_foreign_key(
                op.f(f"fk_{table}_after_change_id_state_change"),
                "state_change",
                ["after_change_id"],
                ["id"],
                ondelete="SET NULL",
            )
        op.execute(AFTER.format(table=table))


def downgrade() -> None:
    for table in TABLES:
        with op.batch_alter_table(table) as batch:
            batch.drop_constraint(op.f(f"fk_{table}_after_change_id_state_change"), type_="foreignkey")
            batch.drop_column("after_change_id")
