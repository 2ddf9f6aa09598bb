"""The tables as SQL, one numbered migration after the other; a table is only ever added to."""

from typing import Final, get_args

from service.store.records import Action

APPLICATION_ID: Final = 0x52577731
"""Mark in the head of the file: it is one of ours."""

JSON_COLUMNS: Final = frozenset({"acknowledged", "scopes"})
"""Columns that keep a list as JSON."""

_N = "n INTEGER PRIMARY KEY CHECK (n >= 1)"
_TIME = "[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]*Z"
_STEP = f"""{_N},
  "at" TEXT NOT NULL CHECK ("at" GLOB '{_TIME}'),
  "by" TEXT NOT NULL CHECK ("by" <> '')"""


def _digest(column: str) -> str:
    return f"CHECK (length({column}) = 71 AND {column} GLOB 'sha256:[0-9a-f]*')"


def _list(column: str) -> str:
    return f"TEXT NOT NULL CHECK ({column} GLOB '[[]*]')"


_COLUMNS: Final = {
    "blobs": f"{_N}, digest TEXT NOT NULL UNIQUE {_digest('digest')}, content BLOB NOT NULL",
    "revisions": f"{_N}, id TEXT NOT NULL UNIQUE REFERENCES blobs (digest)",
    "proposals": f"""{_STEP},
  revision TEXT NOT NULL UNIQUE REFERENCES revisions (id),
  base TEXT REFERENCES revisions (id),
  note TEXT NOT NULL""",
    "reports": f"""{_STEP},
  revision TEXT NOT NULL REFERENCES revisions (id),
  against TEXT REFERENCES revisions (id),
  digest TEXT NOT NULL REFERENCES blobs (digest)""",
    "approvals": f"""{_STEP},
  revision TEXT NOT NULL REFERENCES revisions (id),
  against TEXT REFERENCES revisions (id),
  report TEXT NOT NULL REFERENCES blobs (digest),
  note TEXT NOT NULL,
  acknowledged {_list("acknowledged")}""",
    "activations": f"""{_STEP},
  revision TEXT NOT NULL REFERENCES revisions (id),
  previous TEXT REFERENCES revisions (id),
  approval INTEGER REFERENCES approvals (n),
  note TEXT NOT NULL""",
    "withdrawals": f"""{_STEP},
  revision TEXT NOT NULL REFERENCES revisions (id),
  "row" TEXT,
  row_digest TEXT {_digest("row_digest")},
  reason TEXT NOT NULL CHECK (reason <> ''),
  CHECK (("row" IS NULL) = (row_digest IS NULL))""",
    "keys": f"""{_STEP},
  id TEXT NOT NULL UNIQUE CHECK (id <> ''),
  name TEXT NOT NULL CHECK (name <> ''),
  scopes {_list("scopes")},
  secret_hash TEXT NOT NULL CHECK (secret_hash <> ''),
  expires_at TEXT CHECK (expires_at GLOB '{_TIME}')""",
    "key_revocations": f"""{_STEP},
  "key" TEXT NOT NULL REFERENCES keys (id),
  reason TEXT NOT NULL""",
    "audit": f"""{_STEP},
  action TEXT NOT NULL CHECK (action IN ({", ".join(f"'{each}'" for each in get_args(Action))})),
  subject TEXT NOT NULL CHECK (subject <> ''),
  note TEXT NOT NULL,
  record TEXT NOT NULL {_digest("record")},
  previous TEXT NOT NULL UNIQUE {_digest("previous")},
  hash TEXT NOT NULL UNIQUE {_digest("hash")}""",
}
_ONCE: Final = {
    "blobs": ("digest",),
    "revisions": ("id",),
    "proposals": ("revision",),
    "keys": ("id",),
    "audit": ("previous", "hash"),
}
_INDEXES: Final = (
    "CREATE INDEX reports_revision ON reports (revision)",
    "CREATE INDEX approvals_revision ON approvals (revision)",
    "CREATE INDEX audit_action_record ON audit (action, record)",
)


def _trigger(table: str, name: str, moment: str, refusal: str) -> str:
    return (
        f"CREATE TRIGGER {table}_{name} BEFORE {moment}"
        f" BEGIN SELECT RAISE(ABORT, '{table}: {refusal}'); END"
    )


def _triggers(table: str) -> tuple[str, ...]:
    # INVARIANT: a row that is there is never lost. INSERT OR REPLACE deletes the row that is in its
    # way without asking the DELETE trigger, so nothing may be in the way of an INSERT either.
    insert = f"INSERT ON {table}"
    in_order = f"NEW.n IS NOT (SELECT coalesce(max(n), 0) + 1 FROM {table})"  # noqa: S608
    once = {
        column: f"EXISTS (SELECT 1 FROM {table} WHERE {column} = NEW.{column})"  # noqa: S608
        for column in _ONCE.get(table, ())
    }
    return (
        _trigger(table, "not_changed", f"UPDATE ON {table}", "a row is never changed"),
        _trigger(table, "not_deleted", f"DELETE ON {table}", "a row is never deleted"),
        _trigger(table, "in_order", f"{insert} WHEN {in_order}", "the number is not the next"),
        *(
            _trigger(
                table, f"{column}_once", f"{insert} WHEN {found}", f"{column} is there already"
            )
            for column, found in once.items()
        ),
    )


def _first() -> tuple[str, ...]:
    tables = (f"CREATE TABLE {name} (\n  {told}\n) STRICT" for name, told in _COLUMNS.items())
    triggers = (each for name in _COLUMNS for each in _triggers(name))
    return (*tables, *_INDEXES, *triggers)


MIGRATIONS: Final[tuple[tuple[str, ...], ...]] = (_first(),)
"""Statements that lead from each version of the schema to the next; the first makes the tables."""
