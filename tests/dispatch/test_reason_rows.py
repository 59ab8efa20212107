"""Plans store cautions and reasons as codes with figures; sentences are made at reading, and old ones are kept."""

from datetime import date
from uuid import UUID

import pytest

from shopapi.core import rendering
from shopapi.core.clock import held_at
from shopapi.core.errors import Reason, pack, unpack
from shopapi.core.rendering import render, with_words
from shopapi.core.resources import resource_of
from shopapi.core.schema import parse, to_json
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import PlanRequest, Run
from shopapi.dispatch.rules.schemas.plan import LeftOutRow, PlanAnswer
from shopapi.dispatch.rules.schemas.run import CautionRow, DeckRow, MarginRow
from shopapi.dispatch.services.plan_acceptance import take_plan
from shopapi.dispatch.services.stops import edit_stop, move_stop
from tests.dispatch.test_planning import MORNING, TOMORROW, a_place, crew, planned
from tests.factories.crews import Crew
from tests.factories.rigs import a_rig, a_run, a_stop, a_yard
from tests.factories.work import do

__all__ = ["crew"]
STOP = "00000000-0000-7000-8000-000000000001"
SPANISH = {
    "not_before_day": "No puede hacerse antes del {weekday} {day} de {month}.",
    "weekday.5": "sábado",
    "month.5": "mayo",
    "moved_by_hand": "Movido a mano desde que se calculó.",
}


def test_a_plan_keeps_codes_and_each_reader_gets_the_sentence_in_their_language(
    crew: Crew, monkeypatch: pytest.MonkeyPatch
) -> None:
    actor = crew.owner
    with held_at(MORNING):
        a_yard(actor)
        rig = a_rig(actor)
        first, later = (a_stop(actor, a_place(actor, number)[0]) for number in range(2))
        do(actor, edit_stop, id=later, base={"earliest_on": None}, set={"earliest_on": "2026-05-09"})
        plan = planned(crew)
        assert plan.answer is not None
        (kept,) = plan.answer["left_out"]
        assert (kept["code"], kept["message"], kept["words"]) == ("too_early", "not_before_day", "")
        assert kept["context"] == {"weekday": 5, "month": 5, "day": 9}
        do(actor, take_plan, id=plan.id)
        with in_shop(crew.shop_id):
            run = Run.objects.get(rig=rig)
        assert run.cautions
        assert not [caution for caution in run.cautions if caution["words"]]
        do(actor, move_stop, id=first, run_id=a_run(actor, rig, day=date(2026, 5, 7)), trip=0, position=0)
    with_spanish = {**rendering.catalogs(), "es": SPANISH}
    monkeypatch.setattr(rendering, "catalogs", lambda: with_spanish)
    assert _shown(crew, plan.id, run.id) == (
        "Not before Saturday, May 9.",
        "Moved by hand since it was calculated.",
    )
    token = rendering.language.set("es")
    try:
        assert _shown(crew, plan.id, run.id) == (
            "No puede hacerse antes del sábado 9 de mayo.",
            "Movido a mano desde que se calculó.",
        )
    finally:
        rendering.language.reset(token)


def _shown(crew: Crew, plan_id: UUID, run_id: UUID) -> tuple[str, str]:
    """The reason of the stop left out and the first caution, as a device gets them."""
    with in_shop(crew.shop_id):
        plan = resource_of("plan_request").show(crew.owner, PlanRequest.objects.get(id=plan_id))
        run = resource_of("run").show(crew.owner, Run.objects.get(id=run_id))
    return to_json(plan)["answer"]["left_out"][0]["words"], to_json(run)["cautions"][0]["words"]


def test_rows_from_before_there_were_codes_are_shown_as_they_stand() -> None:
    old = "On the deck of Blue truck it cannot come off when its turn comes."
    left = parse(LeftOutRow, {"stop_id": STOP, "code": "deck_order", "words": old})
    assert with_words(left).words == old
    caution = parse(CautionRow, {"code": "position", "words": "Tap it on the map.", "stop_id": None})
    assert with_words(caution).words == "Tap it on the map."
    margin = {"trip": 0, "leg": 0, "rating": "trailer GVWR", "limit_kg": 9, "load_kg": 8, "left_kg": 1}
    assert with_words(parse(MarginRow, margin)).words == "trailer GVWR"
    figures = {"gross_kg": None, "tongue_kg": None, "tongue_permille": None, "tie_downs": 4}
    deck = {"trip": 0, "leg": 0, "words": "Deck from above, 1 loaded", "svg": "<svg/>", **figures}
    assert with_words(parse(DeckRow, deck)).words == "Deck from above, 1 loaded"
    answer = {"runs": [], "left_out": [], "metres": 0, "proven": True, "complete": True, "roads": "fallback"}
    plan = with_words(parse(PlanAnswer, {**answer, "words": ["Times are by the shop's own rule."]}))
    assert [(remark.code, remark.words) for remark in plan.remarks] == [
        ("earlier", "Times are by the shop's own rule.")
    ]
    # And once more, as it is stored from now on.
    assert with_words(parse(PlanAnswer, to_json(plan))) == plan


def test_a_reason_holds_phrases_and_lists_of_them_and_comes_back_from_its_column() -> None:
    rig = Reason("rig_on_weekday", {"name": "Blue truck", "weekday": TOMORROW.weekday()})
    reason = Reason("alone_access", {"rig": rig, "needs": ["winch", "two_people"]})
    words = "No rig that goes out has all that this stop needs: winch, two people."
    assert render(reason) == render(unpack(pack(reason))) == words
    beside = Reason("beside_load_machines", {"rig": rig, "load": Reason("several_machines", {"count": 3}), "most": "1"})
    assert render(unpack(pack(beside))) == (
        "With the rest of that trip, Blue truck on Wednesday would carry 3 machines; it has room for 1."
    )
