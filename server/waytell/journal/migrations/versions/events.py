"""What happened: the one table of the first journals, which did not yet say their version."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision: str | None = None


def upgrade() -> None:
    op.create_table(
        "events",
        sa.Column("machine", sa.String(60), primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("t_s", sa.Float, nullable=False),
        sa.Column("wall", sa.String(40), nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("words", sa.Text, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
    )
