"""What began with the word, and which readings of a machine came before it was back

Revision ID: 0024
Revises: 0023
"""

import sqlalchemy as sa
from alembic import op

revision = "0024"
down_revision = "0023"
branch_labels = None
depends_on = None

KEY = "fk_outage_last_reading_id_calibration"
LAST_READING = """
UPDATE outage SET last_reading_id = (
    SELECT max(calibration.id) FROM calibration
    WHERE calibration.machine_id = outage.machine_id AND calibration.at < outage.to_at
) WHERE "over"
"""


def upgrade() -> None:
    row_id = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    for table in ("outage", "absence"):
        op.add_column(table, sa.Column("begun", sa.Boolean(), server_default=sa.false(), nullable=False))
    with op.batch_alter_table("outage") as batch:
        batch.add_column(sa.Column("last_reading_id", row_id, nullable=True))
        batch.create_foreign_key(op.f(KEY), "calibration", ["last_reading_id"], ["id"], ondelete="SET NULL")
    op.execute(LAST_READING)


def downgrade() -> None:
    with op.batch_alter_table("outage") as batch:
        batch.drop_constraint(op.f(KEY), type_="foreignkey")
        batch.drop_column("last_reading_id")
    for table in ("outage", "absence"):
        with op.batch_alter_table(table) as batch:
            batch.drop_column("begun")
