"""Alembic's environment: runs on the connection it is handed, or on the app's own for `flask db`."""

from __future__ import annotations

from alembic import context

from floor.store.models import db


def run(connection: object) -> None:
    context.configure(
        connection=connection,  # type: ignore[arg-type]
        target_metadata=db.metadata,
        render_as_batch=True,
        compare_type=True,
    )
    with context.begin_transaction():
        context.run_migrations()


handed = context.config.attributes.get("connection")
if handed is not None:
    run(handed)
else:
    with db.engine.connect() as own:
        run(own)
        own.commit()
