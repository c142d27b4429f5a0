"""The database's versions, and the way from one to the next.

A new version: change ``exercises/tables.py``, then ``python -m exercises.migrations "title"``
and read what it wrote. Rebuilding a SQLite table drops its triggers: create them again with
``triggers``. A version runs on SQLite and on PostgreSQL.
"""
