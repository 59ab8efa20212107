"""Serial numbers in their natural order: digits count as numbers, so that A900 is before A1200.

Twin: `serialKey` in `pwa/src/domain/machines/serials.ts`; both run `fixtures/machines/serials.json`.
"""

import re

SerialKey = tuple[tuple[int, int, str], ...]


def serial_key(serial: str) -> SerialKey:
    """What serial numbers are sorted by: runs of digits by value, before letters; case, spaces and marks do not count.

    Only the digits 0 to 9 and the letters A to Z count.

    >>> serial_key("A900") < serial_key("a-1200") < serial_key("A1200 B") < serial_key("B1")
    True
    """
    runs = re.findall(r"[0-9]+|[A-Z]+", serial.upper())
    return tuple((0, int(run), "") if run.isdecimal() else (1, 0, run) for run in runs)


def is_serial_between(serial: str, serial_from: str, serial_to: str) -> bool:
    """Whether a serial number is in a range, both ends included; an empty end is open."""
    key = serial_key(serial)
    return not (serial_from and key < serial_key(serial_from)) and not (serial_to and key > serial_key(serial_to))
