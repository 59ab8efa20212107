"""Management commands: the demo, the first shop, the import of an address book."""

import contextlib
import csv
import io
from collections import Counter
from datetime import timedelta
from pathlib import Path
from uuid import UUID

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction
from django.db.models import Sum
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shopapi.accounts.models import Device, Member, Shop
from shopapi.accounts.queries import every_shop, system_actor
from shopapi.accounts.rules import FirstShop
from shopapi.billing.models import Invoice, Payment
from shopapi.core import clock
from shopapi.core.ids import millis_of
from shopapi.core.models import AuditEvent, Issue
from shopapi.core.schema import to_json
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer, Site
from shopapi.customers.rules.address_book import Card, CardFault
from shopapi.customers.rules.address_plan import ImportOutcome, Match, Step
from shopapi.customers.services.import_steps import execute_steps
from shopapi.demo.loader import stable_id
from shopapi.jobs.models import Complaint, Finding, Job
from shopapi.machines.models import Machine, MeterReading
from shopapi.parts.models import PartNeed
from shopapi.quotes.models import Approval, Line, Quote, Signature
from shopapi.quotes.queries import basis_of, discount_of, lines_of
from shopapi.quotes.rules import compute_totals
from shopapi.quotes.services.shop import open_shop

pytestmark = pytest.mark.django_db

BOOKS = Path(__file__).parents[2] / "fixtures" / "address_books"


def run(*arguments: object) -> str:
    """The output of a command."""
    out = io.StringIO()
    call_command(*map(str, arguments), stdout=out)
    return out.getvalue()


def refusal(*arguments: object) -> str:
    """The one line with which a command ends with exit code 2."""
    with pytest.raises(CommandError) as refused:
        run(*arguments)
    assert refused.value.returncode == 2
    assert "\n" not in str(refused.value)
    return str(refused.value)


@pytest.fixture
def shop() -> UUID:
    """A shop of one owner."""
    return a_shop("Bench & Bar")


def a_shop(name: str) -> UUID:
    email = f"{name.split(maxsplit=1)[0].lower()}@shop.example"
    return open_shop(
        data=FirstShop(shop_name=name, zone="America/Chicago", name="Ada", email=email, password="a long password")
    ).shop_id


# The demo


def test_demo_is_complete() -> None:
    said = run("load_demo")
    assert said.startswith("Demo shop “Withy Bridge Tractor & Mower”: 40 customers, 60 machines, 80 jobs in ")
    assert "owner@demo.example with drawbar-demo" in said
    (shop_id,) = every_shop()
    with in_shop(shop_id):
        counted = {model.__name__: model.objects.count() for model in (Member, Device, Customer, Site, Machine)}
        assert counted == {"Member": 3, "Device": 3, "Customer": 40, "Site": 27, "Machine": 60}
        assert MeterReading.objects.count() == 68
        assert Counter(Job.objects.values_list("stage", flat=True)) == {
            "intake": 3,
            "diagnosis": 5,
            "repair": 4,
            "testing": 2,
            "ready": 4,
            "returned": 5,
            "closed": 52,
            "cancelled": 5,
        }
        assert Counter(Quote.objects.values_list("state", flat=True)) == {
            "draft": 3,
            "offered": 5,
            "decided": 72,
            "lapsed": 3,
            "replaced": 4,
            "withdrawn": 2,
        }
        assert Counter(Approval.objects.values_list("how", "matches")) == {
            ("glass", True): 34,
            ("call", True): 15,
            ("link", True): 14,
            ("in_person", True): 9,
        }
        assert (Complaint.objects.count(), Finding.objects.count(), Signature.objects.count()) == (
            82,
            176,
            34,
        )
        assert set(Finding.objects.values_list("decided", flat=True)) == {"open", "accepted", "declined"}
        assert set(Line.objects.values_list("decided", flat=True)) == {"open", "accepted", "declined"}
        assert not Issue.objects.exists()

        # In the order in which it happened, up to yesterday.
        numbers = list(Job.objects.order_by("opened_at").values_list("number", flat=True))
        assert numbers == [f"J-{1001 + count}" for count in range(80)]
        zone = Shop.objects.get().zone
        newest = max(Job.objects.values_list("opened_at", flat=True))
        with clock.held_at(newest):
            assert clock.today(zone) == clock.today("America/Chicago")
            yesterday = clock.today(zone)
        assert yesterday == clock.today(zone) - timedelta(days=1)
        assert not Quote.objects.filter(state="offered", valid_until__lte=yesterday).exists()
        waiting = Job.objects.filter(waits_on__contains=["approval"])
        assert set(waiting) == {quote.job for quote in Quote.objects.filter(state="offered")}

        # Finished jobs got their parts and were billed what was accepted; closed ones are paid.
        assert not Job.objects.filter(stage="closed", waits_on__contains=["parts"]).exists()
        assert Job.objects.filter(stage="repair", waits_on__contains=["parts"]).exists()
        assert {"wanted", "ordered", "back_ordered", "arrived", "fitted"} <= set(
            PartNeed.objects.values_list("state", flat=True)
        )
        billed = Invoice.objects.filter(state="issued")
        assert billed.count() > 30
        for invoice in billed.filter(job__stage="closed"):
            paid = Payment.objects.filter(job=invoice.job).aggregate(sum=Sum("amount_minor"))["sum"]
            assert invoice.totals is not None
            assert paid == invoice.totals["total_minor"], invoice

        for quote in Quote.objects.all():
            exempt = quote.job.customer.tax_exempt
            totals = compute_totals(basis_of(quote), lines_of(quote), discount=discount_of(quote), exempt=exempt)
            assert quote.totals == to_json(totals), quote.mark
    assert refusal("load_demo") == (
        "The demo needs an empty installation: There is already a shop on this server. Its owner can add people."
    )


def test_demo_does_not_change_another_shop(shop: UUID) -> None:
    assert refusal("load_demo").startswith("The demo needs an empty installation: ")
    assert every_shop() == [shop]
    with in_shop(shop):
        assert not Customer.objects.exists()


def test_demo_ids_are_stable_and_of_version_7() -> None:
    at = clock.now()
    one = stable_id("job", "B-1", at)
    assert one == stable_id("job", "B-1", at)
    assert one != stable_id("job", "B-2", at) != stable_id("quote", "B-2", at)
    assert (one.version, one.variant) == (7, "specified in RFC 4122")
    assert millis_of(one) == int(at.timestamp() * 1000)


# The first shop

OPENING = (
    "make_shop",
    "--shop-name=Bench & Bar",
    "--zone=America/Chicago",
    "--currency=USD",
    "--name=Ada",
    "--email=ada@shop.example",
    "--password-stdin",
)


def test_make_shop(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("a long password\nnot this\n"))
    assert run(*OPENING) == "“Bench & Bar” is open; ada@shop.example signs in as its owner.\n"
    (shop_id,) = every_shop()
    with in_shop(shop_id):
        member = Member.objects.get()
        assert (member.name, member.role, member.user.email) == ("Ada", "owner", "ada@shop.example")
        assert member.user.check_password("a long password")
    monkeypatch.setattr("sys.stdin", io.StringIO("a long password\n"))
    assert refusal(*OPENING) == "There is already a shop on this server. Its owner can add people."


@pytest.mark.parametrize(
    ("instead", "password", "words"),
    [
        ("--zone=Chicago", "a long password", "zone: This is no time zone known here."),
        ("--email=ada", "a long password", "email: "),
        ("--name=Ada", "short", "password: "),
        ("--name=", "a long password", "Missing --name: there is no terminal to ask on."),
    ],
)
def test_make_shop_reports_invalid_input(
    monkeypatch: pytest.MonkeyPatch, instead: str, password: str, words: str
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(password + "\n"))
    assert refusal(*OPENING, instead).startswith(words)
    assert every_shop() == []


# An address book


def test_import_reports_and_writes(shop: UUID) -> None:
    output = run("import_customers", BOOKS / "shop_list.csv", "--map=Gate code=notes", "--leave-refused")
    assert output.splitlines() == [
        "row    2  new       Harrow Lane Orchards",
        "row    3  new       Tobias Quill",
        "row    4  new       Ashby, Lorna",
        "row    5  left out  Quill Tobias  <- near-same name as Tobias Quill (row 3)",
        "row    6  refused   (no name)  -> name: There is no name here. Give it one, or leave the row out.",
        "row    7  refused   Mike the roofer  -> tax_exempt: It says neither yes nor no. Write yes or no.",
        "3 new, 1 left out, 0 update, 2 refused. All of it is written.",
    ]
    with in_shop(shop):
        kept = [
            (
                one.name,
                one.person,
                one.phone,
                one.phone_digits,
                one.email,
                one.address,
                one.notes,
                one.exempt_reason,
            )
            for one in Customer.objects.order_by("name")
        ]
        assert kept == [
            (
                "Ashby, Lorna",
                "",
                "555.014.2240",
                "5550142240",
                "lorna.ashby@mail.example",
                '"The Old Dairy", 4 Kiln Rd\nSenter, MO 64011',
                "",
                "",
            ),
            (
                "Harrow Lane Orchards",
                "Winnie Stroud",
                "555-014-2219",
                "5550142219 5550142210",
                "winnie@harrowlane.example",
                "118 Harrow Lane\nPellan Mills, MO 64000",
                "Pays by check.\nCall before seven.\nGate code: 4471",
                "Farm use certificate on file",
            ),
            (
                "Tobias Quill",
                "",
                "555 014 2231",
                "5550142231",
                "",
                "9 Cooper St\nPellan Mills, MO 64000",
                "Dog is loud, not mean",
                "",
            ),
        ]
        assert AuditEvent.objects.filter(event="customer added").count() == 3


def test_import_writes_all_or_nothing(shop: UUID) -> None:
    with pytest.raises(SystemExit) as ended:
        run("import_customers", BOOKS / "shop_list.csv")
    assert ended.value.code == 1
    with in_shop(shop):
        assert not Customer.objects.exists()


def test_import_of_vcards_twice_adds_nobody(shop: UUID) -> None:
    first = run("import_customers", BOOKS / "phone_contacts.vcf").splitlines()
    assert first[-1] == "4 new, 1 left out, 0 update, 0 refused. All of it is written."
    again = run("import_customers", BOOKS / "phone_contacts.vcf").splitlines()
    assert again[-1] == "0 new, 5 left out, 0 update, 0 refused. All of it is written."
    with in_shop(shop):
        assert set(Customer.objects.values_list("name", flat=True)) == {
            "Delphine Marsh",
            "Lowfield Parish Council",
            "Belén Núñez",
            "Brackett & Daughters Tree Care",
        }


def test_import_handles_duplicates_by_option(shop: UUID, tmp_path: Path) -> None:
    book = tmp_path / "book.csv"
    book.write_text("Name,Phone,Email,Notes\nAda Lovell,555 014 7001,,Ramp.\n", "utf-8")
    run("import_customers", book)
    rows = ("A. Lovell,(555) 014-7001,ada@lovell.example,Dog.", "Ada Lovell,555 014 7002,,")
    book.write_text("\n".join(["Name,Phone,Email,Notes", *rows]), "utf-8")
    output = run("import_customers", book, "--take-duplicates=update", "--row=3=add").splitlines()
    assert output == [
        (
            "row    2  update    A. Lovell  <- same phone as Ada Lovell"
            "  (email 'ada@lovell.example'; notes 'Ramp.' becomes 'Ramp. / Dog.')"
        ),
        "row    3  new       Ada Lovell  <- near-same name as Ada Lovell",
        "1 new, 0 left out, 1 update, 0 refused. All of it is written.",
    ]
    with in_shop(shop):
        kept = list(Customer.objects.order_by("created_at", "id").values_list("name", "phone", "email", "notes"))
        assert kept == [
            ("Ada Lovell", "555 014 7001", "ada@lovell.example", "Ramp.\nDog."),
            ("Ada Lovell", "555 014 7002", "", ""),
        ]
        assert not Issue.objects.exists()


def test_import_report_is_plain_text_to_a_spreadsheet(shop: UUID, tmp_path: Path) -> None:
    book, report = tmp_path / "book.csv", tmp_path / "report.csv"
    book.write_text(
        'Name,Phone\n"=HYPERLINK(""http://x.example"")",+1 555 014 7001\n@SUM(A1),-1\n\uff1d1+1,\n', "utf-8"
    )
    run("import_customers", book, "--report", report, "--dry-run")
    with report.open(encoding="utf-8-sig", newline="") as file:
        header, *rows = csv.reader(file)
    assert header == [
        "row",
        "outcome",
        "name",
        "phone",
        "e-mail",
        "duplicate of",
        "why",
        "changes",
        "refused",
    ]
    assert [row[1:4] for row in rows] == [
        ["new", '\'=HYPERLINK("http://x.example")', "+1 555 014 7001"],
        ["new", "'@SUM(A1)", "'-1"],
        ["new", "'\uff1d1+1", ""],
    ]
    assert refusal("import_customers", book, "--report", report) == (
        f"There is a file {report} already; name another for the report."
    )
    with in_shop(shop):
        assert not Customer.objects.exists()


def test_import_chooses_among_shops(shop: UUID) -> None:
    other = a_shop("Other Bench")
    asked = refusal("import_customers", BOOKS / "phone_contacts.vcf")
    assert asked.startswith("Choose the shop by its id: --shop ID. Shops: ")
    assert refusal("import_customers", BOOKS / "phone_contacts.vcf", "--shop=Nowhere").startswith(
        "There is no shop 'Nowhere'. Shops: "
    )
    run("import_customers", BOOKS / "phone_contacts.vcf", "--shop=Other Bench")
    with in_shop(other):
        assert Customer.objects.filter(shop=other).count() == 4
    with in_shop(shop):
        assert Customer.objects.filter(shop=shop).count() == 0


def test_import_needs_a_shop() -> None:
    assert refusal("import_customers", BOOKS / "phone_contacts.vcf") == (
        "There is no shop yet: open one with make_shop first."
    )


def test_refused_import_file_is_one_line(shop: UUID, tmp_path: Path) -> None:
    missing, broken, vcf = tmp_path / "none.csv", tmp_path / "broken.csv", BOOKS / "phone_contacts.vcf"
    broken.write_text('name\n"Ada\n', "utf-8")
    assert refusal("import_customers", missing) == (
        f"{missing}: No such file or directory. Check the name and that you may read it."
    )
    assert refusal("import_customers", broken) == (
        f"{broken}: The row that begins on line 2 opens a quote and never closes it. Correct it in the file."
    )
    assert refusal("import_customers", vcf, "--map=a=name") == (
        f"{vcf}: vCards name their own fields; --map is for CSV files. Leave it out."
    )
    assert refusal("import_customers", vcf, "--row=99=add") == "--row: there is no row 99 in the file."


def test_row_refused_by_the_service_refuses_its_duplicates(shop: UUID) -> None:
    """If the service is stricter than the reader (here by a patch), nothing is half done."""
    steps = (
        Step(Card(1, "x" * 121), ImportOutcome.ADD),
        Step(Card(2, "Ada"), ImportOutcome.SKIP, Match("row 1", "x", ("same phone",))),
        Step(Card(3, "Bo"), ImportOutcome.ADD),
    )
    with in_shop(shop):
        done = execute_steps(system_actor(shop), steps)
        assert list(Customer.objects.values_list("name", flat=True)) == ["Bo"]
    assert [step.does for step in done] == [ImportOutcome.REFUSED, ImportOutcome.REFUSED, ImportOutcome.ADD]
    assert [fault.field for fault in done[0].faults] == ["name"]
    assert done[1].faults == (
        CardFault("row", "duplicate_of_refused", "It looks like row 1, which is refused. Correct that one first."),
    )


CELLS = st.fixed_dictionaries(
    {
        "name": st.sampled_from(["Ada Lovell", "Lovell, Ada", "Bo Karr", "", "\x00", "Cy & Sons"]),
        "phone": st.sampled_from(["", "555 014 7001", "+1 (555) 014-7001", "12"]),
        "email": st.sampled_from(["", "ada@lovell.example", "ADA@lovell.example"]),
        "notes": st.text(st.characters(exclude_categories=["Cs"]), max_size=5),
        "exempt": st.sampled_from(["", "yes", "no", "maybe"]),
    }
)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    # A file of nothing but blank rows is refused as a whole, which has a test of its own.
    rows=st.lists(CELLS, min_size=1, max_size=6).filter(
        lambda rows: any("".join(row.values()).strip() for row in rows)
    ),
    take=st.sampled_from(["skip", "add", "update"]),
    leave=st.booleans(),
)
def test_dry_run_and_real_run_report_the_same(
    shop: UUID, tmp_path: Path, rows: list[dict[str, str]], take: str, *, leave: bool
) -> None:
    """For any file: the same message per row; the dry run leaves no trace, a refusal writes nothing."""
    path = tmp_path / "book.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    flags = [f"--take-duplicates={take}", *(["--leave-refused"] if leave else [])]
    with transaction.atomic():
        before = counts(shop)
        dry = said(path, "--dry-run", *flags)
        assert counts(shop) == before
        real = said(path, *flags)
        assert dry[:-1] == real[:-1]
        refused = any("  refused  " in line for line in real[:-1])
        added = sum("  new  " in line for line in real[:-1])
        wanted = 0 if refused and not leave else added
        assert counts(shop)[0] - before[0] == wanted
        transaction.set_rollback(True)


def counts(shop: UUID) -> tuple[int, int]:
    with in_shop(shop):
        return Customer.objects.count(), AuditEvent.objects.count()


def said(path: Path, *flags: str) -> list[str]:
    """The output of an import, whether it succeeds or not."""
    out = io.StringIO()
    with contextlib.suppress(SystemExit):
        call_command("import_customers", str(path), *flags, stdout=out)
    return out.getvalue().splitlines()
