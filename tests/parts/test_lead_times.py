"""Lead times against published Kaplan-Meier figures, promises against small cases worked by hand."""

from math import prod
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import CensoredData, ecdf

from shopapi.parts.rules.lead_times import LeadTime, SurvivalStep, Wait, chance_within, lead_time, usual_lead_time
from shopapi.parts.rules.promise import FARTHEST, Expected, chance_of_all, days_for_all

# Remission of the 21 patients given 6-MP in the trial of Freireich and others, Blood 21 (1963), pp. 699-716, in weeks
# (from memory); those without an end were still in remission.
ENDED = (6, 6, 6, 7, 10, 13, 16, 22, 23)
NOT_ENDED = (6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35)
# The estimate as textbooks on survival analysis print it (from memory), here computed with four digits.
PRINTED = {6: 0.8571, 7: 0.8067, 10: 0.7529, 13: 0.6902, 16: 0.6275, 22: 0.5378, 23: 0.4482}
ONE, OTHER = UUID(int=1), UUID(int=2)


def waits(ended: tuple[int, ...], not_ended: tuple[int, ...]) -> list[Wait]:
    return [Wait(days, arrived=True) for days in ended] + [Wait(days, arrived=False) for days in not_ended]


def share_of(days: int, arrived: float, *, at: int = 10) -> LeadTime:
    """A history by which this share arrives within `days`."""
    return LeadTime((SurvivalStep(days, at, 0, 1 - arrived),), at, days)


def test_estimate_of_the_6_mp_trial() -> None:
    found = lead_time(waits(ENDED, NOT_ENDED))
    assert {step.days: round(step.share, 4) for step in found.steps} == PRINTED
    assert [step.waiting for step in found.steps] == [21, 17, 15, 12, 11, 7, 6]
    assert (found.waits, found.arrivals, found.longest) == (21, 9, 35)
    assert found.days_for(0.5) == 23
    assert found.days_for(0.6) is None


@given(
    st.lists(st.integers(0, 30), min_size=1, max_size=40),
    st.lists(st.integers(0, 30), max_size=40),
)
def test_estimate_is_that_of_scipy(ended: list[int], not_ended: list[int]) -> None:
    ours = lead_time(waits(tuple(ended), tuple(not_ended)))
    theirs = ecdf(CensoredData(uncensored=ended, right=not_ended)).sf
    assert [ours.waiting_share(days) for days in range(32)] == pytest.approx(theirs.evaluate(list(range(32))))


def test_without_censoring_it_is_the_share_of_the_waits_themselves() -> None:
    found = lead_time(waits((1, 2, 2, 5), ()))
    assert [found.waiting_share(days) for days in (0, 1, 2, 4, 5, 99)] == pytest.approx([1, 0.75, 0.25, 0.25, 0, 0])


def test_a_wait_that_has_not_ended_makes_the_estimate_later() -> None:
    """Leaving open orders out would make a supplier look fast exactly while it is slow."""
    assert lead_time(waits((2, 3, 4), ())).days_for(0.8) == 4
    assert lead_time(waits((2, 3, 4), (6, 6))).days_for(0.8) is None


def test_chance_after_waiting_already() -> None:
    """Of four, two came on day 2: of those that still wait on day 3, half come by day 5."""
    known = lead_time(waits((2, 2, 5, 9), ()))
    assert chance_within(known, 0, waited=2) == pytest.approx(0.5)
    assert chance_within(known, 2, waited=3) == pytest.approx(0.5)
    assert chance_within(known, 6, waited=3) == pytest.approx(1)
    assert chance_within(known, 0, waited=9) == pytest.approx(1)
    assert chance_within(known, 1, waited=10) is None


def test_two_suppliers_multiply_and_one_supplier_does_not() -> None:
    """The case worked by hand: 0.8 x 0.9 = 0.72; from one supplier both come with the less likely one."""
    both = [Expected(ONE, share_of(3, 0.8)), Expected(OTHER, share_of(3, 0.9))]
    assert chance_of_all(both, 3) == pytest.approx(0.72)
    assert chance_of_all(both, 2) == 0
    together = [Expected(ONE, share_of(3, 0.8)), Expected(ONE, share_of(3, 0.9))]
    assert chance_of_all(together, 3) == pytest.approx(0.8)
    assert chance_of_all([], 0) == 1


def test_promise_is_the_first_day_with_the_chance_asked_for() -> None:
    slow = lead_time(waits((1, 2, 3, 4, 5, 6, 7, 8, 9, 10), ()))
    assert days_for_all([Expected(ONE, slow)], 0.8) == 8
    assert days_for_all([Expected(ONE, slow), Expected(OTHER, slow)], 0.8) == 9, "0.9 x 0.9 = 0.81"
    assert days_for_all([Expected(ONE, slow, not_before=12)], 0.8) == 12
    assert days_for_all([Expected(None, usual_lead_time(4))], 0.8) == 4
    assert days_for_all([], 0.8) == 0


def test_nothing_is_promised_from_a_history_that_says_nothing() -> None:
    short = lead_time(waits((2, 3), ()))
    assert days_for_all([Expected(ONE, short, waited=4)], 0.8) is None
    assert days_for_all([Expected(ONE, lead_time(waits((2,), (3, 3))))], 0.8) is None
    assert days_for_all([Expected(ONE, usual_lead_time(FARTHEST + 1))], 0.8) is None


@given(
    st.lists(
        st.tuples(st.sampled_from([ONE, OTHER, None]), st.lists(st.integers(0, 20), min_size=1, max_size=8)),
        max_size=5,
    ),
    st.floats(0.05, 0.99),
)
def test_promise_keeps_its_chance_and_the_day_before_does_not(
    drawn: list[tuple[UUID | None, list[int]]], share: float
) -> None:
    parts = [Expected(supplier, lead_time(waits(tuple(days), ()))) for supplier, days in drawn]
    days = days_for_all(parts, share)
    assert days is not None
    chance = chance_of_all(parts, days)
    assert chance is not None
    assert chance >= share - 1e-6
    if days:
        before = chance_of_all(parts, days - 1)
        assert before is not None
        assert before < share
    each = [chance_of_all([part], days) or 0 for part in parts]
    assert prod(each) - 1e-9 <= chance <= min(each, default=1) + 1e-9, "between independent and all together"


def test_day_zero() -> None:
    assert lead_time([]).waiting_share(3) == 1
    assert lead_time([Wait(0, arrived=True)]).days_for(0.8) == 0
