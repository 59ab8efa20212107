"""English sentences of customers."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "customer_in_use": "This customer has places, machines or jobs; archive the customer instead.",
    "site_in_use": "A job uses this place, so it can't be deleted.",
    "site_empty": "Enter an address, a position or a name.",
    "import_too_large": "The file is larger than {most} MB, the most taken at once. Split it, or "
    "leave the pictures out.",
    "import_unreadable": "This file can't be read.",
    "import_names_missing": "Say which column holds the name.",
    "nothing_to_import": "The file has no row that is new. Nothing was imported.",
    "import_state": "This import is already {state}. Open the list of imports to see it.",
    "import_in_use": "{count} of these customers have places, machines or jobs by now, {name} among them, "
    "so the import can't be undone. Archive the ones you don't need instead.",
    "import_running": "An import is adding customers right now. Erase the customer once it is done.",
    "import_edited": "{count} of these customers were edited since, {name} among them, so the import can't be undone. "
    "Archive the ones you don't need instead.",
    "half_position": "Enter both latitude and longitude, or neither.",
}
