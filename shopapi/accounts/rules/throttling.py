"""Throttling of wrong passwords and links: limits and waits."""

import ipaddress
from collections.abc import Sequence
from datetime import datetime, timedelta

TRY_WINDOW = timedelta(minutes=5)


TRIES_IN_WINDOW = 5
"""Wrong passwords for one account from one network, or from one browser that has signed in before, in each window."""


NETWORKS_AT_ONCE = 4
"""From so many networks with a wrong password for one account within `NETWORKS_WINDOW`, each try has to wait."""


NETWORKS_WINDOW = timedelta(hours=1)


TRIES_PER_NETWORK = 25
"""After so many wrong passwords from one network in a window, for whichever accounts, each try has to wait."""


SHORTEST_WAIT, LONGEST_WAIT = timedelta(seconds=5), TRY_WINDOW


def network_block(address: str) -> str:
    """The network of an address, as far as one subscriber can choose it: IPv4 whole, IPv6 by its /48 (RFC 6177).

    >>> network_block("2001:db8:1:2::7"), network_block("::ffff:192.0.2.1")
    ('2001:db8:1::/48', '192.0.2.1')
    """
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return address
    if isinstance(parsed, ipaddress.IPv4Address):
        return str(parsed)
    if parsed.ipv4_mapped is not None:
        return str(parsed.ipv4_mapped)
    return str(ipaddress.IPv6Network((int(parsed), 48), strict=False))


def wait_in_window(tries: Sequence[datetime], at: datetime) -> timedelta:
    """The time until fewer than `TRIES_IN_WINDOW` of these tries, the latest first, are within the window."""
    if len(tries) < TRIES_IN_WINDOW:
        return timedelta(0)
    return max(timedelta(0), tries[TRIES_IN_WINDOW - 1] + TRY_WINDOW - at)


def wait_backing_off(count: int, free: int, last: datetime | None, at: datetime) -> timedelta:
    """The wait before the next try: none below `free` tries, then doubled by each further one."""
    if last is None or count < free:
        return timedelta(0)
    # 2 to the 6th is beyond the longest wait already.
    return max(timedelta(0), last + min(SHORTEST_WAIT * (1 << min(count - free, 6)), LONGEST_WAIT) - at)
