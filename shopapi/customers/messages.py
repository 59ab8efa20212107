"""English sentences of customers."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "customer_in_use": "This customer has sites, machines or jobs; archive them instead.",
    "site_in_use": "A job uses this site; leave it.",
    "site_empty": "Say where: give the address, the position or a name.",
    "half_position": "Give both latitude and longitude, or neither.",
}
