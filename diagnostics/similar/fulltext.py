"""Full-text search over the words of jobs, on either database: `search(words)` gives jobs with their rank."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from django.db import connection

# Words are stemmed and accents taken off, so that "stalling" finds "stalled".
SQLITE_TABLE = """
    CREATE VIRTUAL TABLE diagnostics_jobtext_found USING fts5(
      words, content='diagnostics_jobtext', content_rowid='order_id',
      tokenize='porter unicode61 remove_diacritics 2')
"""
SQLITE_TRIGGERS = (
    """CREATE TRIGGER diagnostics_jobtext_added AFTER INSERT ON diagnostics_jobtext BEGIN
      INSERT INTO diagnostics_jobtext_found(rowid, words) VALUES (new.order_id, new.words); END""",
    """CREATE TRIGGER diagnostics_jobtext_gone AFTER DELETE ON diagnostics_jobtext BEGIN
      INSERT INTO diagnostics_jobtext_found(diagnostics_jobtext_found, rowid, words)
      VALUES ('delete', old.order_id, old.words); END""",
    """CREATE TRIGGER diagnostics_jobtext_changed AFTER UPDATE ON diagnostics_jobtext BEGIN
      INSERT INTO diagnostics_jobtext_found(diagnostics_jobtext_found, rowid, words)
      VALUES ('delete', old.order_id, old.words);
      INSERT INTO diagnostics_jobtext_found(rowid, words) VALUES (new.order_id, new.words); END""",
)
SQLITE_NAMES = ("added", "gone", "changed")
POSTGRESQL_INDEX = """
    CREATE INDEX diagnostics_jobtext_found ON diagnostics_jobtext
    USING gin (to_tsvector('english', words))
"""
_SQLITE = """
    SELECT rowid, -rank FROM diagnostics_jobtext_found
    WHERE diagnostics_jobtext_found MATCH %s ORDER BY rank, rowid LIMIT %s
"""
_POSTGRESQL = """
    SELECT order_id, ts_rank_cd(to_tsvector('english', words), wanted) AS rank
    FROM diagnostics_jobtext, websearch_to_tsquery('english', %s) wanted
    WHERE to_tsvector('english', words) @@ wanted ORDER BY rank DESC, order_id LIMIT %s
"""
_PLAIN = "SELECT order_id, 1.0 FROM diagnostics_jobtext WHERE {} ORDER BY order_id DESC LIMIT %s"


def make_index(schema_editor) -> None:
    """Make the index that this database has; a SQLite built without full-text search gets none."""
    vendor = schema_editor.connection.vendor
    if vendor == "postgresql":
        schema_editor.execute(POSTGRESQL_INDEX)
    elif vendor == "sqlite" and _knows_fts5(schema_editor.connection):
        schema_editor.execute(SQLITE_TABLE)
        for trigger in SQLITE_TRIGGERS:
            schema_editor.execute(trigger)


def drop_index(schema_editor) -> None:
    """Take the index away again."""
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("DROP INDEX IF EXISTS diagnostics_jobtext_found")
    else:
        for name in SQLITE_NAMES:
            schema_editor.execute(f"DROP TRIGGER IF EXISTS diagnostics_jobtext_{name}")
        schema_editor.execute("DROP TABLE IF EXISTS diagnostics_jobtext_found")


def search(words: Sequence[str], *, most: int) -> dict[int, float]:
    """Return the jobs that have any of the words, by key, with how well they fit: above 0, the best 1.

    Parameters
    ----------
    words : sequence of str
        Letters and digits only, as `words_of` gives them.
    most : int
        How many jobs at most, the best ones.
    """
    if not words:
        return {}
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(_POSTGRESQL, [" OR ".join(words), most])
        elif has_index():
            cursor.execute(_SQLITE, [" OR ".join(f'"{word}"' for word in words), most])
        else:
            any_word = " OR ".join(["words LIKE %s"] * len(words))
            cursor.execute(_PLAIN.format(any_word), [*(f"%{word}%" for word in words), most])
        found = cursor.fetchall()
    best = max((rank for _, rank in found), default=0.0)
    return {pk: (rank / best if best > 0 else 1.0) for pk, rank in found}


@cache
def has_index() -> bool:
    """Whether the site's SQLite database has its full-text table."""
    return "diagnostics_jobtext_found" in connection.introspection.table_names()


def _knows_fts5(database) -> bool:
    with database.cursor() as cursor:
        cursor.execute("SELECT sqlite_compileoption_used('ENABLE_FTS5')")
        return bool(cursor.fetchone()[0])
