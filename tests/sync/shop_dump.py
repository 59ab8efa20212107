"""A fast dump and restore within the test database. `launch/test_backup.py` uses real dumps."""

from django.db import IntegrityError, transaction

from tests.sync import invariants

TABLES_OF_SHOP = (
    "SELECT c.table_name FROM information_schema.columns c JOIN information_schema.tables t USING (table_name)"
    " WHERE c.table_schema = 'public' AND c.column_name = 'shop_id' AND t.table_type = 'BASE TABLE'"
)


def dump_shops() -> dict[str, str]:
    """Every table of the shops as one JSON text."""
    names = [name for (name,) in invariants.query(TABLES_OF_SHOP)]
    return {name: invariants.query(f"SELECT coalesce(jsonb_agg(t), '[]')::text FROM {name} t")[0][0] for name in names}


def restore_shops(saved: dict[str, str]) -> None:
    """Restore the tables as they were dumped; everything later is lost."""
    with transaction.atomic(using="owner"):
        for name in saved:
            invariants.execute_sql(f"ALTER TABLE {name} DISABLE TRIGGER USER")
        invariants.execute_sql(f"TRUNCATE {', '.join(saved)} CASCADE")
        left = list(saved)
        while left:
            # A table whose rows point at another comes after it.
            name = left.pop(0)
            try:
                with transaction.atomic(using="owner"):
                    invariants.execute_sql(
                        f"INSERT INTO {name} SELECT * FROM jsonb_populate_recordset(NULL::{name}, %s::jsonb)",
                        saved[name],
                    )
            except IntegrityError:
                left.append(name)
        invariants.execute_sql("SET CONSTRAINTS ALL IMMEDIATE")
        for name in saved:
            invariants.execute_sql(f"ALTER TABLE {name} ENABLE TRIGGER USER")
