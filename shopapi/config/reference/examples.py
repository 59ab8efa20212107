"""Examples of the main requests, by the name of their schema; a test runs them against a server in this order."""

from collections.abc import Mapping
from typing import Any

CUSTOMER = "0192f3a0-0000-7000-8000-000000000001"
MACHINE = "0192f3a0-0000-7000-8000-000000000002"
JOB = "0192f3a0-0000-7000-8000-000000000003"
QUOTE = "0192f3a0-0000-7000-8000-000000000004"
LINE = "0192f3a0-0000-7000-8000-000000000005"
ENTRY = "0192f3a0-0000-7000-8000-000000000006"

EXAMPLES: Mapping[str, Any] = {
    "NewCustomerRequest": {"id": CUSTOMER, "name": "Winnie Stroud", "phone": "+1 608 555 0143"},
    "CustomerEditRequest": {
        "id": CUSTOMER,
        "base": {"phone": "+1 608 555 0143"},
        "set": {"phone": "+1 608 555 0144"},
    },
    "NewMachineRequest": {
        "id": MACHINE,
        "customer_id": CUSTOMER,
        "kind": "garden_tractor",
        "make": "Tallgrass",
        "model": "T-18",
    },
    "NewJobRequest": {"id": JOB, "customer_id": CUSTOMER, "machine_id": MACHINE},
    "PutLineRequest": {
        "id": LINE,
        "quote_id": QUOTE,
        "position": 0,
        "kind": "labor",
        "rank": "needed",
        "words": "Replace the deck belt",
        "hours": "1.5",
    },
    "ClockStartRequest": {"id": ENTRY, "kind": "repair", "job_id": JOB, "started_at": "2026-05-12T14:00:00Z"},
}
