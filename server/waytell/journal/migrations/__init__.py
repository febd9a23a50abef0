"""Steps from one version of the journal to the next, for alembic."""
