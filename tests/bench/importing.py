"""The import of a history, beside inserting the very rows it leaves with one statement a table."""

import sqlite3

from shared.environment import SQLITE_PRAGMAS
from tests.bench.shop import run_child
from tests.bench.timing import Comparison, seconds_of

MOST_REPEATS = 3  # Each takes a history in from the start.
DATABASE = "holdfast.sqlite3"
NOT_FROM_THE_IMPORT = ("django_", "auth_", "sqlite_", "axes_")


def measure(shop, repeats):
    rows = _rows(shop.filled / DATABASE)
    idle = run_child(shop.empty, "idle")
    taken, inserted, peaks, again = [], [], [], []
    for _ in range(min(repeats, MOST_REPEATS)):
        site = shop.copy_of_empty("target")
        answer = run_child(site, "import", str(shop.history))
        assert (answer["created"], answer["refused"]) == (shop.orders, 0), answer
        taken.append(answer["seconds"])
        peaks.append(answer["peak_mb"])
        again.append(run_child(site, "import", str(shop.history))["seconds"])
        inserted.append(_seconds_of_inserting(rows, shop.copy_of_empty("target") / DATABASE))
    count = sum(len(values) for _, values in rows.values())
    memory = f"peak {max(peaks):.0f} MB, of which the start takes {idle['peak_mb']:.0f} MB"
    yardstick = f"executemany of {count:,} rows"
    return [
        Comparison(f"import of {shop.orders:,} orders", taken, yardstick, inserted, shop.orders, memory),
        Comparison("the same again", again, "the first import", taken, shop.orders, "changes nothing"),
    ]


def _rows(database):
    """Return the columns and rows of each table that an import fills."""
    with sqlite3.connect(database) as connection:
        names = [
            name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        ]
        found = {}
        for name in names:
            if not name.startswith(NOT_FROM_THE_IMPORT):
                cursor = connection.execute(f'SELECT * FROM "{name}"')
                values = cursor.fetchall()
                if values:
                    found[name] = ([column for column, *_ in cursor.description], values)
    connection.close()
    return found


def _seconds_of_inserting(rows, database):
    connection = sqlite3.connect(database, isolation_level=None)
    for pragma in [*SQLITE_PRAGMAS.split(";"), "PRAGMA foreign_keys=ON"]:
        connection.execute(pragma)
    # Tables come in any order; the keys between them are checked at the end.
    connection.execute("PRAGMA defer_foreign_keys=ON")

    def insert():
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("PRAGMA defer_foreign_keys=ON")
        for table, (columns, values) in rows.items():
            names = ", ".join(f'"{column}"' for column in columns)
            places = ", ".join("?" * len(columns))
            connection.executemany(f'INSERT OR IGNORE INTO "{table}" ({names}) VALUES ({places})', values)
        connection.execute("COMMIT")

    seconds = seconds_of(insert)
    connection.close()
    return seconds
