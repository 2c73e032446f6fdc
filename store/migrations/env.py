"""Run migrations in the caller's transaction: see `store.opening`."""

from alembic import context

connection = context.config.attributes["connection"]
context.configure(
    connection=connection,
    version_table="schema_version",
    render_as_batch=True,
    transactional_ddl=True,
)
with context.begin_transaction():
    context.run_migrations()
