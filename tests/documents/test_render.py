import subprocess
import sys
from pathlib import Path

import pytest

from shopapi.documents.services import render_pdf

ROOT = Path(__file__).parents[2]


def test_missing_name_in_the_data_is_refused() -> None:
    with pytest.raises(LookupError, match="the template names quote"):
        render_pdf("quotes/quote.html", {}, paper_size="a4", language="en")


def test_missing_pango_names_what_to_install() -> None:
    """Without Pango, cffi raises OSError."""
    program = (
        "import cffi, django\n"
        "def lost(self, name, flags=0): raise OSError(f'cannot load library {name!r}')\n"
        "cffi.FFI.dlopen = lost\n"
        "from django.conf import settings; settings.configure(); django.setup()\n"
        "from shopapi.documents.services import render_pdf\n"
        "from shopapi.core.errors import Unavailable\n"
        "from shopapi.documents.messages import MESSAGES\n"
        "try: render_pdf('x.html', {}, paper_size='a4', language='en')\n"
        "except Unavailable as error: print(error.code, MESSAGES[error.reason.code])\n"
    )
    run = subprocess.run(
        [sys.executable, "-W", "error", "-c", program],
        env={"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=True,
    )
    # WeasyPrint says its own piece first.
    last = run.stdout.splitlines()[-1]
    assert last.startswith("pdf_failed This server lacks the text library Pango")
    assert "libpango-1.0-0" in last
