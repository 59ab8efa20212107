"""The price book of a shop: one row, edited whole; until app 0.2.0 it was a field of the shop."""

from collections.abc import Iterator
from importlib import import_module
from types import SimpleNamespace
from typing import Any
from uuid import UUID

import pytest
from django.db import IntegrityError, connections
from django.db.migrations import RenameField
from django.db.migrations.loader import MigrationLoader

from shopapi.accounts.models import Shop
from shopapi.accounts.rules import FirstShop
from shopapi.accounts.services.shops import make_shop
from shopapi.core.actor import Actor
from shopapi.core.errors import Forbidden, Invalid, NotFound
from shopapi.core.feed import issue_of
from shopapi.core.ids import uuid7
from shopapi.core.models import Issue
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.quotes.models import PriceBook
from shopapi.quotes.queries import prices_of_shop
from shopapi.quotes.rules import ShopPrices
from shopapi.quotes.rules.starting_prices import starting_prices
from shopapi.quotes.services.shop import edit_price_book, edit_shop
from shopapi.sync.queries import PullPage, pull_changes, read_snapshot_page
from shopapi.sync.services.issues import settle_issue
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do
from tests.sync.direct_push import push

STARTING = starting_prices("USD")


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def change(actor: Actor, seen: dict[str, Any], **changed: object) -> PriceBook:
    """Edit some of the prices that a phone has seen."""
    edited: PriceBook = do(
        actor, edit_price_book, id=actor.shop_id, base={"prices": seen}, set={"prices": seen | changed}
    )
    return edited


def pull_rows(actor: Actor, kind: str) -> list[Any]:
    """What a new phone of the member gets of a kind."""
    with in_shop(actor.shop_id):
        return read_snapshot_page(actor, "").rows.get(kind, [])


def open_issues(actor: Actor) -> list[Issue]:
    with in_shop(actor.shop_id):
        return list(Issue.objects.filter(state="open").order_by("entity_kind"))


# The row


def test_a_shop_begins_with_a_price_book_under_its_own_id(crew: Crew) -> None:
    with in_shop(crew.shop_id):
        (book,) = PriceBook.objects.all()
        assert (book.id, book.shop_id, book.prices) == (crew.shop_id, crew.shop_id, STARTING)
        with pytest.raises(IntegrityError, match="price_book_has_the_id_of_its_shop"):
            PriceBook.objects.create(shop_id=crew.shop_id, prices=STARTING)


def test_a_shop_without_a_row_charges_the_starting_prices_until_its_first_edit(db: None) -> None:
    fields = {
        "shop_name": "Ford",
        "zone": "UTC",
        "name": "Ada",
        "email": "ada@ford.example",
        "password": "a long password",
    }
    owner = make_shop(data=FirstShop(**fields, currency="JPY"))
    first = starting_prices("JPY")
    with in_shop(owner.shop_id):
        assert not PriceBook.objects.exists()
        assert prices_of_shop(owner) == parse(ShopPrices, first)
    change(owner, first, terms="At pickup.")
    assert work.prices_of(owner) == first | {"terms": "At pickup."}


def test_a_book_that_was_stored_wrong_is_left_out_of_what_phones_get(
    committed_db: None, caplog: pytest.LogCaptureFixture
) -> None:
    crew = open_crew()
    customer = work.a_customer(crew.owner)
    with in_shop(crew.shop_id):
        first = read_snapshot_page(crew.owner, "")
        assert [row["id"] for row in first.rows["price_book"]] == [str(crew.shop_id)]
    later = work.a_customer(crew.owner)
    with in_shop(crew.shop_id):
        PriceBook.objects.update(prices={"currency": "USD"})
    with in_shop(crew.shop_id):
        fresh = read_snapshot_page(crew.owner, "").rows
        pulled = pull_changes(crew.owner, first.cursor, max_bytes=1_000_000)
    assert "price_book" not in fresh
    assert {row["id"] for row in fresh["customer"]} == {str(customer), str(later)}
    assert isinstance(pulled, PullPage)
    assert [row["id"] for row in pulled.rows["customer"]] == [str(later)]
    assert f"stored row of kind price_book is invalid: {crew.shop_id}" in caplog.text


def test_only_the_owner_changes_prices(crew: Crew) -> None:
    for actor in (crew.office, crew.mechanic):
        with pytest.raises(Forbidden):
            change(actor, STARTING, terms="Mine")
    assert work.prices_of(crew.owner) == STARTING


def test_the_price_book_of_another_shop_is_unknown(crew: Crew) -> None:
    other = open_crew("Other")
    edit = {"base": {"prices": STARTING}, "set": {"prices": STARTING | {"terms": "Mine"}}}
    for book_id in (other.shop_id, uuid7()):
        with pytest.raises(NotFound):
            do(crew.owner, edit_price_book, id=book_id, **edit)
    assert work.prices_of(other.owner) == STARTING


@pytest.mark.parametrize(
    ("wrong", "at"),
    [
        ({"currency": "EUR"}, "set.prices.currency"),
        ({"valid_days": 0}, "set.prices.valid_days"),
        ({"labor_rates": []}, "set.prices.labor_rates"),
        ({"minor_digits": 3}, "set.prices.minor_digits"),
    ],
)
def test_prices_that_cannot_be_quoted_from_are_refused(crew: Crew, wrong: dict[str, Any], at: str) -> None:
    with pytest.raises(Invalid) as refused:
        change(crew.owner, STARTING, **wrong)
    assert at in {fault.field for fault in refused.value.fields}
    assert work.prices_of(crew.owner) == STARTING


# Two phones


def test_the_second_of_two_edits_is_asked_about_whole_and_can_be_taken(crew: Crew) -> None:
    change(crew.owner, STARTING, terms="At pickup.")
    change(crew.owner, STARTING, valid_days=14)
    (issue,) = open_issues(crew.owner)
    assert (issue.name, issue.entity_kind, issue.entity_id) == ("edit_price_book", "price_book", crew.shop_id)
    assert issue.theirs == {"prices": STARTING | {"terms": "At pickup."}}
    assert issue.ours == {"prices": STARTING | {"valid_days": 14}}
    assert work.prices_of(crew.owner)["valid_days"] == 30
    do(crew.owner, settle_issue, id=issue.id, choice="ours")
    assert work.prices_of(crew.owner) == STARTING | {"valid_days": 14}


def test_the_same_edit_twice_is_no_conflict(crew: Crew) -> None:
    for _ in range(2):
        change(crew.owner, STARTING, terms="At pickup.")
    assert open_issues(crew.owner) == []


# The command of app 0.2.0


def old_edit(shop_id: UUID, base: dict[str, Any], wanted: dict[str, Any]) -> tuple[str, dict[str, Any]]:
    return "edit_shop", {"id": str(shop_id), "base": base, "set": wanted}


def as_seen_by_old_app(prices: dict[str, Any]) -> dict[str, Any]:
    """Without the fields that a book stored long ago lacks: the old app sent such a book back as it was."""
    profiles = [
        {name: value for name, value in one.items() if name != "rates_rounded"} for one in STARTING["tax_profiles"]
    ]
    return {name: value for name, value in prices.items() if name != "rules_version"} | {"tax_profiles": profiles}


def test_an_old_edit_of_the_shop_and_its_book_becomes_two(crew: Crew) -> None:
    wanted = {"book": STARTING | {"terms": "At pickup."}, "phone": "(555) 014-2299"}
    (outcome,) = push(crew.owner, old_edit(crew.shop_id, {"book": STARTING, "phone": ""}, wanted))
    assert (outcome.status, outcome.code) == ("applied", None)
    assert work.prices_of(crew.owner) == STARTING | {"terms": "At pickup."}
    with in_shop(crew.shop_id):
        assert Shop.objects.get().phone == "(555) 014-2299"
    assert open_issues(crew.owner) == []


@pytest.mark.parametrize("with_book", [True, False])
def test_an_old_edit_of_one_of_them_leaves_the_other(crew: Crew, *, with_book: bool) -> None:
    base, wanted = (
        ({"book": STARTING}, {"book": STARTING | {"terms": "T"}}) if with_book else ({"phone": ""}, {"phone": "5"})
    )
    (outcome,) = push(crew.owner, old_edit(crew.shop_id, base, wanted))
    assert outcome.status == "applied"
    assert work.prices_of(crew.owner)["terms"] == ("T" if with_book else "")
    with in_shop(crew.shop_id):
        assert Shop.objects.get().phone == ("" if with_book else "5")


def test_an_old_edit_compares_with_the_book_as_it_was_stored_then(crew: Crew) -> None:
    with in_shop(crew.shop_id):
        PriceBook.objects.update(prices=as_seen_by_old_app(STARTING))
    seen = as_seen_by_old_app(STARTING)
    (outcome,) = push(crew.owner, old_edit(crew.shop_id, {"book": seen}, {"book": seen | {"terms": "T"}}))
    assert outcome.status == "applied"
    assert open_issues(crew.owner) == []
    kept = work.prices_of(crew.owner)
    assert (kept["terms"], kept["tax_profiles"][0]["rates_rounded"]) == ("T", "together")


def test_an_old_edit_that_comes_second_is_asked_about(crew: Crew) -> None:
    change(crew.owner, STARTING, terms="Newer")
    wanted = {"book": STARTING | {"terms": "Older"}, "phone": "5"}
    (outcome,) = push(crew.owner, old_edit(crew.shop_id, {"book": STARTING, "phone": ""}, wanted))
    assert outcome.status == "applied"
    (issue,) = open_issues(crew.owner)
    assert (issue.entity_kind, issue.theirs["prices"]["terms"], issue.ours["prices"]["terms"]) == (
        "price_book",
        "Newer",
        "Older",
    )
    with in_shop(crew.shop_id):
        assert Shop.objects.get().phone == "5"


def test_an_answer_to_an_old_conflict_settles_it_again_after_a_restore(crew: Crew) -> None:
    """The conflict was about the shop then: its id, which the phone that picked an answer still names, stays."""
    change(crew.owner, STARTING, terms="Newer")
    (edit,) = push(crew.owner, old_edit(crew.shop_id, {"book": STARTING}, {"book": STARTING | {"terms": "Older"}}))
    old_id = issue_of(crew.shop_id, edit.id, ("shop", crew.shop_id))
    (issue,) = open_issues(crew.owner)
    assert (issue.id, issue.entity_kind) == (old_id, "price_book")
    (answer,) = push(crew.owner, ("settle_issue", {"id": old_id, "choice": "ours"}))
    assert answer.status == "applied"
    assert work.prices_of(crew.owner)["terms"] == "Older"


def test_two_conflicts_of_an_old_edit_stay_two(crew: Crew) -> None:
    do(crew.owner, edit_shop, id=crew.shop_id, base={"phone": ""}, set={"phone": "1"})
    change(crew.owner, STARTING, terms="Newer")
    wanted = {"book": STARTING | {"terms": "Older"}, "phone": "2"}
    (edit,) = push(crew.owner, old_edit(crew.shop_id, {"book": STARTING, "phone": ""}, wanted))
    ids = [issue_of(crew.shop_id, edit.id, (kind, crew.shop_id)) for kind in ("price_book", "shop")]
    assert [(one.id, one.entity_kind) for one in open_issues(crew.owner)] == [(ids[0], "price_book"), (ids[1], "shop")]


def test_an_old_edit_with_a_wrong_book_changes_nothing(crew: Crew) -> None:
    wanted = {"book": STARTING | {"currency": "EUR"}, "phone": "5"}
    (outcome,) = push(crew.owner, old_edit(crew.shop_id, {"book": STARTING, "phone": ""}, wanted))
    assert (outcome.status, outcome.code) == ("rejected", "invalid")
    with in_shop(crew.shop_id):
        assert Shop.objects.get().phone == ""


def test_todays_edit_of_the_shop_has_no_book(crew: Crew) -> None:
    (outcome,) = push(crew.owner, old_edit(crew.shop_id, {"book": STARTING}, {"book": STARTING}), v=2)
    assert (outcome.status, outcome.code) == ("rejected", "invalid")


def test_an_old_edit_needs_the_permission_too(crew: Crew) -> None:
    (outcome,) = push(crew.mechanic, old_edit(crew.shop_id, {"book": STARTING}, {"book": STARTING | {"terms": "T"}}))
    assert (outcome.status, outcome.code) == ("rejected", "forbidden")
    assert work.prices_of(crew.owner) == STARTING


# The migrations


@pytest.fixture
def before_the_move(committed_db: None) -> Iterator[Any]:
    """The models of just before the move, over a table of shops that holds their books again."""
    with connections["owner"].cursor() as cursor:
        cursor.execute("ALTER TABLE accounts_shop ADD COLUMN book jsonb NOT NULL DEFAULT '{}'")
    try:
        nodes = [("quotes", "0008_price_book"), ("core", "0005_outbox_failed_at")]
        state = MigrationLoader(None).project_state(nodes)
        # The column has the name of today.
        RenameField("Shop", "paper", "paper_size").state_forwards("accounts", state)
        yield state.apps
    finally:
        with connections["owner"].cursor() as cursor:
            cursor.execute("ALTER TABLE accounts_shop DROP COLUMN book")


def migrate(models: Any, name: str, *steps: str) -> None:
    """Run the steps of a migration of quotes as the owner of the tables does."""
    module = import_module(f"shopapi.quotes.migrations.{name}")
    for step in steps:
        getattr(module, step)(models, SimpleNamespace(connection=connections["owner"]))


def give_book(models: Any, crew: Crew, book: dict[str, Any]) -> None:
    """Put a shop back to where its book was a field."""
    models.get_model("quotes", "PriceBook").objects.using("owner").filter(id=crew.shop_id).delete()
    models.get_model("accounts", "Shop").objects.using("owner").filter(id=crew.shop_id).update(book=book)


def test_each_book_moves_into_its_row_and_a_shop_without_one_gets_none(before_the_move: Any) -> None:
    with_book, without = open_crew("First"), open_crew("Second")
    old = as_seen_by_old_app(STARTING) | {"terms": "At pickup."}
    give_book(before_the_move, with_book, old)
    give_book(before_the_move, without, {})
    migrate(before_the_move, "0009_books_of_shops", "move_books", "move_conflicts")
    assert work.prices_of(with_book.owner) == old
    with in_shop(without.shop_id):
        assert not PriceBook.objects.exists()
        assert prices_of_shop(without.owner) == parse(ShopPrices, STARTING)
    # A later migration gives every shop its row, the one without as a new shop gets it, and leaves the other alone.
    migrate(before_the_move, "0012_book_for_every_shop", "give_every_shop_a_book")
    assert (work.prices_of(with_book.owner), work.prices_of(without.owner)) == (old, STARTING)
    (pulled,) = pull_rows(without.owner, "price_book")
    assert (pulled["id"], pulled["prices"]) == (str(without.shop_id), STARTING)
    # A phone that saw the old book edits the new row.
    change(with_book.owner, old, valid_days=14)
    assert open_issues(with_book.owner) == []


def test_open_conflicts_about_a_book_go_on_about_the_price_book(before_the_move: Any) -> None:
    crew = open_crew()
    theirs, ours = STARTING | {"terms": "Theirs"}, STARTING | {"terms": "Ours"}
    give_book(before_the_move, crew, theirs)
    conflict = {"shop_id": crew.shop_id, "kind": "conflict", "name": "edit_shop", "entity_kind": "shop", "words": "{}"}
    with in_shop(crew.shop_id):
        alone, both, name = (
            Issue.objects.create(**conflict, entity_id=crew.shop_id, command_id=uuid7(), theirs=stored, ours=wanted)
            for stored, wanted in (
                ({"book": theirs}, {"book": ours}),
                ({"book": theirs, "name": "A"}, {"book": ours, "name": "B"}),
                ({"name": "A"}, {"name": "C"}),
            )
        )
    migrate(before_the_move, "0009_books_of_shops", "move_books", "move_conflicts")
    found = open_issues(crew.owner)
    assert {one.id for one in found} > {alone.id, both.id, name.id}
    moved = ("price_book", "edit_price_book", {"prices": theirs}, {"prices": ours})
    about = [(one.entity_kind, one.name, one.theirs, one.ours) for one in found]
    assert about[:2] == [moved, moved]
    assert sorted(wanted["name"] for *_, wanted in about[2:]) == ["B", "C"]
    assert {(kind, command, seen["name"]) for kind, command, seen, _ in about[2:]} == {("shop", "edit_shop", "A")}
    do(crew.owner, settle_issue, id=alone.id, choice="ours")
    assert work.prices_of(crew.owner)["terms"] == "Ours"


def test_shops_with_a_book_of_wrong_digits_get_theirs_unless_they_have_quotes(before_the_move: Any) -> None:
    """The unusable former initial prices of shops with yen are replaced; a shop with quotes keeps its digits."""
    shops = before_the_move.get_model("accounts", "Shop").objects.using("owner")
    crews = {expected: open_crew(name, currency="JPY") for name, expected in (("Yen", 0), ("Sen", 2))}
    for expected, crew in crews.items():
        if expected:
            work.a_draft(crew.owner, work.a_job(crew.owner), basis=starting_prices("JPY"))
        give_book(before_the_move, crew, starting_prices("JPY") | {"minor_digits": 2})
    migrate(before_the_move, "0006_book_digits", "give_books_their_digits")
    for expected, crew in crews.items():
        assert shops.get(id=crew.shop_id).book["minor_digits"] == expected
