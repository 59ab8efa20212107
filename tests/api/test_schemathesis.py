"""The running server against its own document, with requests drawn by Schemathesis: valid ones and broken ones.

`DRAWBAR_API_EXAMPLES=40 python3 manage.py test tests/api/test_schemathesis.py` draws that many for each operation, and
another seed each time.
"""

import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from uuid import UUID

from django.conf import settings

from shopapi.accounts.services import tokens
from tests.api.conftest import create_populated_shop
from tests.factories.crews import member_of
from tests.site import LiveSite

CHECKS = (
    "not_a_server_error",
    "status_code_conformance",
    "content_type_conformance",
    "response_schema_conformance",
    "negative_data_rejection",
    "ignored_auth",
    "use_after_free",
    "ensure_resource_availability",
)
EXAMPLES = int(os.environ.get("DRAWBAR_API_EXAMPLES", "0"))
# Without a key the first four have nobody to act for, and Schemathesis cannot write the body of the last: sessions and
# uploads have tests of their own.
LEFT_OUT = {"read_session", "sign_in", "sign_out", "open_first_shop", "add_bytes"}
# As by default, and 412, which the upload protocol (tus 1.0.0) prescribes where its version is not named.
REJECTIONS = "[400, 401, 403, 404, 405, 406, 409, 412, 413, 415, 422, 429]"


def test_server_keeps_to_its_document(live_site: LiveSite, tmp_path: Path) -> None:
    shop = create_populated_shop("Bench & Bar")
    owner = shop.crew.owner
    key = tokens.make_token(actor=owner, member_id=member_of(owner), label="Schemathesis")
    report = tmp_path / "report.json"
    (tmp_path / "schemathesis.toml").write_text(configuration(shop.ids))
    seed = [] if EXAMPLES else ["--seed=20260512"]
    command = [
        *(str(Path(sys.executable).with_name("schemathesis")), f"--config-file={tmp_path / 'schemathesis.toml'}"),
        *("run", str(settings.API_DOCUMENT), f"--url={live_site.base_url}", f"--header=Authorization:Token {key}"),
        *(f"--checks={','.join(CHECKS)}", f"--max-examples={EXAMPLES or 2}", *seed),
        *("--continue-on-failure", "--no-shrink", "--suppress-health-check=all", "--warnings=off"),
        *("--phases=fuzzing,stateful", "--report=json", f"--report-json-path={report}"),
        *(f"--exclude-operation-id={name}" for name in sorted(LEFT_OUT)),
    ]
    run = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, timeout=7200, check=False)
    assert run.returncode == 0, f"{run.stdout[-12_000:]}\n{run.stderr[-2000:]}\n{live_site.log()[-3000:]}"


def configuration(ids: Mapping[str, UUID]) -> str:
    """Settings of Schemathesis: the paths of a resource name a row of the shop, so that most reads find one."""
    lines = [
        *("[checks.negative_data_rejection]", f"expected-statuses = {REJECTIONS}", ""),
        *("[phases.stateful.generation]", f"max-examples = {10 * (EXAMPLES or 2)}", ""),
    ]
    for plural, row_id in sorted(ids.items()):
        lines += ["[[operations]]", f"include-path-regex = '^/api/v1/{plural}/\\{{row_id\\}}'"]
        lines += [f"parameters = {{ 'path.row_id' = '{row_id}' }}", ""]
    return "\n".join(lines)
