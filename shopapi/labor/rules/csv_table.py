"""Reports as CSV."""

import csv
import io
from collections.abc import Iterable, Sequence
from decimal import Decimal

from shopapi.customers.rules.address_report import plain_cell

Cell = str | int | float | Decimal | None


def sheet(columns: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """A CSV file (RFC 4180, UTF-8 with BOM). Texts are escaped so that none is read as a formula; numbers are not.

    >>> sheet(["who", "h"], [["=1+1", -0.5]]).decode("utf-8-sig").splitlines()[1]
    "'=1+1,-0.5"
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    for row in (columns, *rows):
        writer.writerow([plain_cell(cell) if isinstance(cell, str) else cell for cell in row])
    return text.getvalue().encode("utf-8-sig")


def hours(seconds: int) -> float:
    """Hours with two decimal places, for display; sums are computed in seconds.

    >>> hours(2700), hours(100)
    (0.75, 0.03)
    """
    return round(seconds / 3600, 2)
