"""${message}."""

import sqlalchemy as sa
from alembic import op
${imports if imports else ""}
revision = ${repr(up_revision).replace("'", '"')}
down_revision = ${repr(down_revision).replace("'", '"')}


def upgrade() -> None:
    """Go from the version before to this one."""
    ${upgrades if upgrades else "pass"}
