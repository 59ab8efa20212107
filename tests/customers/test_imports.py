"""An address book imported in the app: read, checked, added in the background, resumed, undone."""

import hashlib
import http.client
import json
from typing import Any
from uuid import UUID

import pytest

from shopapi.accounts.services.tokens import make_token
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent, Outbox
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer, CustomerImport
from shopapi.customers.rules.import_schemas import MAX_UPLOAD_BYTES
from shopapi.customers.services import edit_customer, imports
from shopapi.customers.tasks import drop_upload, import_rows
from tests.factories import work
from tests.factories.crews import Browser, Crew, open_crew
from tests.factories.work import do
from tests.site import LiveSite

BOOK = b"Name,Phone,Email\nAda Lovell,555 014 7001,ada@lovell.example\nTobias Quill,555 014 2231,\n"


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def upload(crew: Crew, content: bytes, name: str = "book.csv", import_id: UUID | None = None) -> Any:
    browser = Browser(crew.owner)
    return browser.client.post(
        f"/api/v1/customer-imports/upload?id={import_id or uuid7()}&name={name}",
        content,
        content_type="application/octet-stream",
    )


def uploaded(crew: Crew, content: bytes, name: str = "book.csv") -> str:
    answer = upload(crew, content, name)
    assert answer.status_code == 201, answer.content
    return str(answer.json()["id"])


def check(crew: Crew, import_id: str, **options: object) -> Any:
    answer = Browser(crew.owner).post(f"customer-imports/{import_id}/check", options)
    assert answer.status_code == 200, answer.content
    return answer.json()


def start(crew: Crew, import_id: str, **options: object) -> Any:
    return Browser(crew.owner).post(f"customer-imports/{import_id}/start", {"id": import_id, **options})


def run_due(crew: Crew, most: int = 100) -> int:
    """Run the pending tasks of imports, one chunk each; returns how many ran."""
    for ran in range(most):
        with in_shop(crew.shop_id):
            row = Outbox.objects.filter(task="customers.import_rows", done_at=None).first()
        if row is None:
            return ran
        import_rows(str(crew.shop_id), str(row.id))
    return most


def read(crew: Crew, import_id: str) -> Any:
    return Browser(crew.owner).get(f"customer-imports/{import_id}").json()


def imported(crew: Crew, content: bytes, name: str = "book.csv", **options: object) -> str:
    import_id = uploaded(crew, content, name)
    assert start(crew, import_id, **options).status_code == 200
    run_due(crew)
    return import_id


def names(crew: Crew) -> list[str]:
    with in_shop(crew.shop_id):
        return list(Customer.objects.order_by("name").values_list("name", flat=True))


def test_a_check_says_what_would_happen_and_writes_nothing(crew: Crew) -> None:
    work.a_customer(crew.owner, name="Somebody Else", phone="(555) 014-7001")
    book = BOOK + b'No Phone Here,,\n,555 014 9999,\n"Bad\nMail",,"a@b.example\nc"\n'
    found = check(crew, uploaded(crew, book))
    assert [(one["header"], one["field"], one["examples"]) for one in found["columns"]] == [
        ("Name", "name", ["Ada Lovell", "Tobias Quill", "No Phone Here"]),
        ("Phone", "phone", ["555 014 7001", "555 014 2231", "555 014 9999"]),
        ("Email", "email", ["ada@lovell.example", "a@b.example\nc"]),
    ]
    assert (found["rows"], found["to_add"], found["known"], found["broken"]) == (5, 2, 1, 2)
    assert found["known_rows"] == [
        {"row": 2, "name": "Ada Lovell", "known_name": "Somebody Else", "why": ["same phone"], "in_import": False}
    ]
    assert [(one["row"], one["field"], one["code"]) for one in found["broken_rows"]] == [
        (5, "name", "missing"),
        (6, "email", "line_break"),
    ]
    assert names(crew) == ["Somebody Else"]


def test_the_owner_corrects_what_a_column_is(crew: Crew) -> None:
    book = "Voornaam;Achternaam;Nummer\nBelén;Núñez;555 014 7001\n李;小龍;555 014 7002\n".encode("cp1252", "ignore")
    import_id = uploaded(crew, book)
    found = check(crew, import_id)
    # The numbers are known by their form; the names are not.
    assert ([one["field"] for one in found["columns"]], found["names_missing"]) == (["", "", "phone"], True)
    refused = start(crew, import_id)
    assert (refused.status_code, refused.json()["fields"][0]["code"]) == (422, "import_names_missing")
    found = check(crew, import_id, fields={"0": "given", "1": "family"})
    assert (found["to_add"], found["names_missing"]) == (1, False)
    assert start(crew, import_id, fields={"0": "given", "1": "family"}).status_code == 200
    run_due(crew)
    assert names(crew) == ["Belén Núñez"]


@pytest.mark.parametrize("fields", [{"0": "shoe"}, {"9": "name"}, {"x": "name"}])
def test_a_field_or_column_that_is_not_there_is_refused(crew: Crew, fields: dict[str, str]) -> None:
    answer = Browser(crew.owner).post(f"customer-imports/{uploaded(crew, BOOK)}/check", {"fields": fields})
    assert answer.status_code == 422
    assert answer.json()["fields"][0]["field"].startswith("fields")


ODD = {
    "a byte order mark": (b"\xef\xbb\xbf" + BOOK, ["Ada Lovell", "Tobias Quill"]),
    "UTF-16 with a mark": (BOOK.decode().encode("utf-16"), ["Ada Lovell", "Tobias Quill"]),
    "UTF-16 without one": (BOOK.decode().encode("utf-16-le"), ["Ada Lovell", "Tobias Quill"]),
    "UTF-16 the other way round": (BOOK.decode().encode("utf-16-be"), ["Ada Lovell", "Tobias Quill"]),
    "Windows-1252": ("Name;Phone\nBelén Núñez;555 014 7001\n".encode("cp1252"), ["Belén Núñez"]),
    "tabs, old line ends": (b"Name\tPhone\rAda\t555 014 7001\r", ["Ada"]),
    "empty lines and empty cells": (b"\n\nName,Phone\n\n,,\nAda,\n\n\n", ["Ada"]),
    "quotes": (b'Name,Notes\n"Quill, ""Toby""","gate\nopen"\n', ['Quill, "Toby"']),
    "no header": (
        b"Ada Lovell,555 014 7001,ada@lovell.example\nTobias Quill,555 014 2231,\n",
        ["Ada Lovell", "Tobias Quill"],
    ),
    "other scripts": (
        "Name,Phone\n李小龍,555 014 7001\nمحمد علي,555 014 7002\nΆννα,٥٥٥٠١٤٧٠٠٣\n".encode(),
        ["Άννα", "محمد علي", "李小龍"],
    ),
    "formulas": (b'Name,Phone\n"=1+1","+1 555 014 7001"\n"\'@SUM(A1)",\n', ["=1+1", "@SUM(A1)"]),
    "a hint of a spreadsheet": (b"sep=;\nName;Phone\nAda;555 014 7001\n", ["Ada"]),
}


@pytest.mark.parametrize("kind", ODD)
def test_odd_files_are_read(crew: Crew, kind: str) -> None:
    content, expected = ODD[kind]
    imported(crew, content)
    assert sorted(names(crew)) == sorted(expected)


def test_vcards_are_read_whatever_the_file_is_called(crew: Crew) -> None:
    card = b"BEGIN:VCARD\r\nVERSION:3.0\r\nFN:Ada Lovell\r\nTEL:555 014 7001\r\nEND:VCARD\r\n"
    import_id = uploaded(crew, card, "contacts.txt")
    assert (check(crew, import_id)["columns"], check(crew, import_id)["to_add"]) == ([], 1)
    start(crew, import_id)
    run_due(crew)
    assert names(crew) == ["Ada Lovell"]


@pytest.mark.parametrize(
    ("content", "code", "says"),
    [
        (b"", "import_unreadable", "The file is empty"),
        (b"Name,Phone\n", "import_unreadable", "a header and no rows"),
        (b'Name\n"Ada\n', "import_unreadable", "opens a quote"),
        (b"Name\n" + b"A\n" * 5001, "import_unreadable", "more than 5000 rows"),
        (b"Name\n" + b"A" * MAX_UPLOAD_BYTES, "import_too_large", "larger than 3 MB"),
    ],
)
def test_a_file_past_the_limits_is_refused_and_not_kept(crew: Crew, content: bytes, code: str, says: str) -> None:
    answer = upload(crew, content)
    (fault,) = answer.json()["fields"]
    assert (answer.status_code, fault["field"], fault["code"]) == (422, "file", code)
    assert says in fault["words"]
    with in_shop(crew.shop_id):
        assert not CustomerImport.objects.exists()


def test_the_web_server_takes_the_largest_file_and_answers_a_larger_one(live_site: LiveSite) -> None:
    crew = open_crew()
    assert crew.owner.member_id is not None
    token = make_token(actor=crew.owner, member_id=crew.owner.member_id, label="import")
    book = b"Name,Notes\n" + b"".join(b"%s,%s\n" % (_name(row).encode(), b"n" * 3000) for row in range(1000))
    connection = http.client.HTTPConnection("localhost", live_site.port, timeout=60)
    for size, status, code in ((MAX_UPLOAD_BYTES, 201, ""), (MAX_UPLOAD_BYTES + 1, 422, "import_too_large")):
        headers = {"Authorization": f"Token {token}", "Content-Type": "application/octet-stream"}
        path = f"/api/v1/customer-imports/upload?id={uuid7()}&name=book.csv"
        connection.request("POST", path, book.ljust(size, b"\n"), headers)
        answer = connection.getresponse()
        body = json.loads(answer.read())
        assert (answer.status, body.get("fields", [{"code": ""}])[0]["code"]) == (status, code), body
    connection.close()


def _name(row: int) -> str:
    """A name that is not nearly another."""
    return hashlib.sha256(str(row).encode()).hexdigest()[:14]


def test_5000_rows_in_chunks_and_again_adds_nothing(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = "".join(f"{_name(row)},555 01{row:05},\n" for row in range(5000))
    # The writes themselves are the same for a few: most are known already.
    with in_shop(crew.shop_id):
        Customer.objects.bulk_create(
            Customer(shop_id=crew.shop_id, name=f"Known {row}", phone=f"555 01{row:05}") for row in range(4500)
        )
    import_id = uploaded(crew, f"Name,Phone,Email\n{rows}".encode())
    found = check(crew, import_id)
    assert (found["rows"], found["to_add"], found["known"], len(found["known_rows"])) == (5000, 500, 4500, 200)
    answer = start(crew, import_id).json()
    assert (answer["state"], answer["total"], answer["done"]) == ("running", 500, 0)
    assert run_due(crew, 1) == 1
    assert (read(crew, import_id)["done"], read(crew, import_id)["state"]) == (200, "running")
    assert run_due(crew) == 2
    answer = read(crew, import_id)
    assert (answer["state"], answer["done"], answer["added"], answer["left_out"]) == ("done", 500, 500, 4500)
    with in_shop(crew.shop_id):
        assert Customer.objects.count() == 5000
    again = check(crew, uploaded(crew, f"Name,Phone,Email\n{rows}".encode()))
    assert (again["to_add"], again["known"]) == (0, 5000)


def test_the_same_file_again_adds_nothing_even_where_a_row_was_added_on_purpose(crew: Crew) -> None:
    work.a_customer(crew.owner, name="Ada Lovell", phone="555 014 1111")
    imported(crew, BOOK, add_rows=[2])
    assert names(crew) == ["Ada Lovell", "Ada Lovell", "Tobias Quill"]
    again = uploaded(crew, BOOK)
    found = check(crew, again, add_rows=[2, 3])
    assert (found["to_add"], [one["in_import"] for one in found["known_rows"]]) == (0, [True, True])
    refused = start(crew, again, add_rows=[2, 3])
    assert (refused.status_code, refused.json()["code"]) == (409, "nothing_to_import")


def test_rows_with_nearly_the_name_of_a_customer_and_another_number_are_a_choice(crew: Crew) -> None:
    work.a_customer(crew.owner, name="Tobias Quill", phone="555 014 2231")
    # One with another number, one without any, one with the same number.
    book = b"Name,Phone\nTobias Quil,555 014 9999\nTobias Quill,\nT. Quill,555 014 2231\n"
    import_id = uploaded(crew, book)
    found = check(crew, import_id)
    assert (found["to_add"], found["known"], found["similar"]) == (0, 3, 1)
    found = check(crew, import_id, add_similar=True)
    assert (found["to_add"], found["known"], found["similar"]) == (1, 2, 1)
    start(crew, import_id, add_similar=True)
    run_due(crew)
    assert names(crew) == ["Tobias Quil", "Tobias Quill"]
    # With one more row it is another file; the number tells now who is there.
    found = check(crew, uploaded(crew, book + b"New Person,\n"), add_similar=True)
    assert (found["to_add"], found["known"], found["similar"]) == (1, 3, 0)


def test_a_request_sent_twice_is_one_upload_and_one_import(crew: Crew) -> None:
    import_id = uuid7()
    assert upload(crew, BOOK, import_id=import_id).json() == upload(crew, BOOK, import_id=import_id).json()
    assert upload(crew, BOOK + b"Other,,\n", import_id=import_id).status_code == 409
    # The answer to the first start was lost: the second has another key.
    assert start(crew, str(import_id)).status_code == start(crew, str(import_id)).status_code == 200
    assert run_due(crew) == 1
    assert names(crew) == ["Ada Lovell", "Tobias Quill"]


def test_a_chunk_that_fails_is_added_by_the_next_attempt(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    import_id = uploaded(crew, BOOK)
    start(crew, import_id)
    with monkeypatch.context() as broken:
        broken.setattr(imports, "record", lambda *_, **__: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            run_due(crew)
    assert (names(crew), read(crew, import_id)["done"]) == ([], 0)
    run_due(crew)
    assert names(crew) == ["Ada Lovell", "Tobias Quill"]


def test_a_customer_added_while_it_runs_is_not_added_twice(crew: Crew) -> None:
    import_id = uploaded(crew, BOOK)
    start(crew, import_id)
    work.a_customer(crew.mechanic, name="A. Lovell", phone="555 014 7001")
    run_due(crew)
    answer = read(crew, import_id)
    assert (answer["added"], answer["left_out"]) == (1, 1)
    assert names(crew) == ["A. Lovell", "Tobias Quill"]


def undo(crew: Crew, import_id: str) -> Any:
    return Browser(crew.owner).post(f"customer-imports/{import_id}/undo", {"id": import_id})


def test_undo_removes_what_was_added(crew: Crew) -> None:
    mine = work.a_customer(crew.owner, name="Mine", phone="555 014 0000")
    import_id = imported(crew, BOOK)
    assert undo(crew, import_id).json()["state"] == "undone"
    assert undo(crew, import_id).status_code == 200
    assert names(crew) == ["Mine"]
    with in_shop(crew.shop_id):
        assert AuditEvent.objects.get(event="import undone").details == {"removed": 2}
        assert Customer.objects.get().id == mine
    # The same file may be imported again now.
    imported(crew, BOOK)
    assert names(crew) == ["Ada Lovell", "Mine", "Tobias Quill"]


def test_undo_is_refused_once_something_depends_on_a_row(crew: Crew) -> None:
    import_id = imported(crew, BOOK)
    with in_shop(crew.shop_id):
        ada, toby = Customer.objects.order_by("name")
    site = work.a_site(crew.owner, ada.id)
    refused = undo(crew, import_id)
    assert (refused.status_code, refused.json()["code"]) == (409, "import_in_use")
    assert "1 of these customers" in refused.json()["detail"]
    assert "Ada Lovell" in refused.json()["detail"]
    assert names(crew) == ["Ada Lovell", "Tobias Quill"]
    with in_shop(crew.shop_id):
        type(ada).objects.get(id=ada.id).sites.filter(id=site).delete()
    do(crew.owner, edit_customer, id=toby.id, base={"notes": ""}, set={"notes": "Geese."})
    refused = undo(crew, import_id)
    assert (refused.status_code, refused.json()["message"]) == (409, "import_edited")
    assert names(crew) == ["Ada Lovell", "Tobias Quill"]


def test_nothing_of_the_file_is_kept_after_the_import_or_after_a_day(crew: Crew) -> None:
    done, waiting = imported(crew, BOOK), uploaded(crew, b"Name\nOther\n")
    with in_shop(crew.shop_id):
        kept = CustomerImport.objects.get(id=done)
        assert (bytes(kept.content), kept.cards) == (b"", [])
        assert "Lovell" not in json.dumps([kept.customers, kept.refused])
        tasks = {row.args["import_id"]: str(row.id) for row in Outbox.objects.filter(task="customers.drop_upload")}
    for import_id in (done, waiting):
        drop_upload(str(crew.shop_id), tasks[import_id])
    with in_shop(crew.shop_id):
        assert [str(one.id) for one in CustomerImport.objects.all()] == [done]


def test_a_signed_in_phone_uploads_with_its_csrf_token(crew: Crew) -> None:
    """The check of the token asks for the body as a form, which must not consume it."""
    browser = Browser(crew.owner, checks_csrf=True)
    token = browser.get("session").json()["csrf"]
    for headers, status in (({}, 403), ({"X-CSRF-Token": token}, 201)):
        answer = browser.client.post(
            f"/api/v1/customer-imports/upload?id={uuid7()}&name=book.csv",
            BOOK,
            content_type="application/octet-stream",
            headers=headers,
        )
        assert answer.status_code == status, answer.content
    assert check(crew, answer.json()["id"])["to_add"] == 2


def test_only_who_may_edit_the_shop_imports(crew: Crew) -> None:
    import_id = uploaded(crew, BOOK)
    for actor in (crew.office, crew.mechanic):
        answer = Browser(actor).post(f"customer-imports/{import_id}/start", {"id": import_id})
        assert answer.status_code == 403
    other = open_crew("Other Shop")
    assert Browser(other.owner).post(f"customer-imports/{import_id}/check", {}).status_code == 404
