"""English sentences of machines."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "machine_in_use": "This machine has jobs or readings; archive it instead.",
}
