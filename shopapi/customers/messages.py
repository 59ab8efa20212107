"""English sentences of customers."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "customer_in_use": "This customer has places, machines or jobs; archive the customer instead.",
    "site_in_use": "A job uses this place, so it can't be deleted.",
    "site_empty": "Enter an address, a position or a name.",
    "half_position": "Enter both latitude and longitude, or neither.",
}
