"""Machines without weight or length: every figure of deck, tongue and ratings says that they are left out of it."""

from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from shopapi.core.clock import held_at
from shopapi.core.rendering import with_words
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import Run
from shopapi.dispatch.rules.schemas.run import CautionRow, DeckRow
from shopapi.dispatch.services.run_metrics import recompute_run_metrics
from shopapi.jobs.services import move_job
from shopapi.machines.services import edit_machine
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.rigs import a_rig, a_run, a_stop, a_yard

MORNING = datetime(2026, 5, 5, 11, 0, tzinfo=UTC)
TOMORROW = date(2026, 5, 6)
TRAILER = {"empty_kg": 400, "tongue_kg": 45, "axle_cm": 320, "deck_cm": 110, "gvwr_kg": 1300}
MEASURED = {"mass_kg": 250, "length_cm": 140, "width_cm": 110}


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def a_pickup(crew: Crew, kind: str, **size: object) -> tuple[UUID, UUID]:
    """A machine to fetch and its stop."""
    customer = work.a_customer(crew.owner)
    machine = work.a_machine(crew.owner, customer, kind=kind, **size)
    site = work.a_site(crew.owner, customer)
    job = work.a_job(crew.owner, customer_id=customer, machine_id=machine, site_id=site)
    return machine, a_stop(crew.owner, job)


def decks_and_cautions(crew: Crew, run_id: UUID) -> tuple[list[DeckRow], list[CautionRow]]:
    with in_shop(crew.shop_id):
        recompute_run_metrics(actor=crew.owner, run_id=run_id)
        run = Run.objects.get(id=run_id)
        decks = [with_words(parse(DeckRow, deck)) for deck in run.decks]
        return decks, [with_words(parse(CautionRow, one)) for one in run.cautions]


@pytest.mark.parametrize("size", [{}, {"length_cm": 150}, {"mass_kg": 300}], ids=["nothing", "no weight", "no length"])
def test_a_machine_without_weight_or_length_is_named_in_every_figure_without_it(
    crew: Crew, size: dict[str, int]
) -> None:
    with held_at(MORNING):
        a_yard(crew.owner, tongue_low_permille=20, tongue_high_permille=250)
        rig = a_rig(crew.owner, trailer=TRAILER, straps=8)
        first, unmeasured = a_pickup(crew, "Tiller", **MEASURED), a_pickup(crew, "Chipper", **size)
        run_id = a_run(crew.owner, rig, first[1], unmeasured[1], day=TOMORROW)
        decks, cautions = decks_and_cautions(crew, run_id)
        # As it leaves the yard nothing is aboard, so one leg is drawn, and the chipper comes on during it.
        (deck,) = decks
        assert deck.words.startswith("Deck from above, 1 of 2 on board, 1,433 lb without the rest.")
        assert "in all" not in deck.words
        assert "not counted and NOT checked: " in deck.words
        assert deck.words.split("NOT checked: ")[1].split(".")[0].endswith("Chipper")
        assert "not counted: " in deck.svg
        assert "Chipper" in deck.svg
        # The straps count it: the shop's least for each machine.
        assert deck.tie_downs == 8
        (unknown,) = [one for one in cautions if one.code == "size_unknown"]
        assert unknown.stop_id == unmeasured[1]
        assert "loading was NOT checked" in unknown.words

        # Once it is measured, the figures are of all of them.
        work.do(
            crew.owner,
            edit_machine,
            id=unmeasured[0],
            base={"mass_kg": size.get("mass_kg"), "length_cm": size.get("length_cm")},
            set={"mass_kg": 100, "length_cm": 120},
        )
        decks, cautions = decks_and_cautions(crew, run_id)
        assert [deck.words.split(".")[0] for deck in decks] == [
            "Deck from above, 1 loaded, 1,433 lb total",
            "Deck from above, 2 loaded, 1,653 lb total",
        ]
        assert not [one for one in cautions if one.code == "size_unknown"]


def test_a_machine_that_is_off_again_is_not_named(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        rig = a_rig(crew.owner, trailer=TRAILER, straps=8)
        customer = work.a_customer(crew.owner)
        site = work.a_site(crew.owner, customer)
        machine = work.a_machine(crew.owner, customer, kind="Chipper")
        job = work.a_job(crew.owner, customer_id=customer, machine_id=machine, site_id=site)
        for stage in ("repair", "testing", "ready"):
            work.do(crew.owner, move_job, id=job, stage=stage)
        back = a_stop(crew.owner, job, kind="return")
        _, fetched = a_pickup(crew, "Tiller", **MEASURED)
        decks, _ = decks_and_cautions(crew, a_run(crew.owner, rig, back, fetched, day=TOMORROW))
    assert [deck.words.split(".")[0] for deck in decks] == ["Deck from above, 1 loaded, 1,433 lb total"]
