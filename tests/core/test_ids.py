"""UUID version 7 against the example of RFC 9562."""

from uuid import UUID

import pytest

from shopapi.core import clock, ids
from shopapi.core.ids import millis_of, uuid7


def test_example_of_rfc_9562() -> None:
    # RFC 9562, appendix A.6: 2022-02-22T19:22:22Z.
    example = UUID("017F22E2-79B0-7CC3-98C4-DC0C0C07398F")
    assert millis_of(example) == 1_645_557_742_000
    ours = uuid7(1_645_557_742_000)
    assert str(ours).startswith("017f22e2-79b0-7")
    assert (ours.version, ours.variant) == (7, example.variant)


def test_ids_sort_by_time_and_are_unique() -> None:
    stamps = [0, 1, 1_645_557_742_000, 2**48 - 1]
    minted = [uuid7(stamp) for stamp in stamps]
    assert sorted(minted) == minted
    assert [millis_of(one) for one in minted] == stamps
    assert len({uuid7(5) for _ in range(10_000)}) == 10_000


def test_ids_sort_in_creation_order_despite_clock_changes(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    times = iter([1_645_557_742_000_000_000] * 50 + [1_645_557_700_000_000_000] * 2)
    monkeypatch.setattr(ids, "_last_step", 0)
    monkeypatch.setattr(clock, "machine_time_ns", lambda: next(times))
    minted = [uuid7() for _ in range(52)]
    assert sorted(minted) == minted
    assert {millis_of(one) for one in minted} == {1_645_557_742_000}
