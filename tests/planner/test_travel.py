"""Distances, times and positions; the matrix service's table; no missing value becomes 0."""

from dataclasses import replace
from itertools import product
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shopapi.core.errors import Invalid
from shopapi.core.rendering import render
from shopapi.planner.geodesics import Position, geodesic_metres, pairwise_metres
from shopapi.planner.travel import (
    ClockedDrive,
    DistanceBand,
    NamedPosition,
    TableUnusable,
    TravelProfile,
    estimate_drive,
    estimate_matrix,
    fit_profile,
    read_position,
    read_table,
    table_query,
)

SHOP = NamedPosition("Shop", Position(40.0, -75.0))
NEAR = NamedPosition("Mill Lane", Position(40.05, -75.02))
FAR = NamedPosition("Over the river", Position(40.3, -75.3))


def test_geodesic_example() -> None:
    # GeographicLib's example, JFK to LHR, 5,551,759.400 m (from memory); and a quarter meridian of WGS 84,
    # 10,001,965.729 m (from memory).
    assert geodesic_metres(Position(40.6, -73.8), Position(51.6, -0.5)) == pytest.approx(5_551_759.400, abs=0.001)
    assert geodesic_metres(Position(0, 0), Position(90, 0)) == pytest.approx(10_001_965.729, abs=0.001)


@given(st.lists(st.tuples(st.floats(-90, 90), st.floats(-180, 180)), min_size=2, max_size=6))
@example(
    [(0.0, 0.0), (0.0, 179.7), (0.3, 179.9), (0.0, -179.9), (90.0, 0.0), (-90.0, 5.0), (10.0, 180.0), (10.0, -180.0)]
)
@example([(43.615, -116.202), (43.615, -116.202), (43.6150001, -116.202), (43.7, -116.2), (43.7, -116.21)])
def test_all_pairs_together_are_as_each_alone_within_a_millimeter(places: list[tuple[float, float]]) -> None:
    positions = [Position(*place) for place in places]
    together = pairwise_metres(positions)

    for one, other in product(range(len(positions)), repeat=2):
        alone = geodesic_metres(positions[one], positions[other])
        assert together[one, other] == pytest.approx(alone, rel=0, abs=0.001)


def test_estimate_calculated_by_hand() -> None:
    # 10 km straight: 5 km at 1.4 and 30 km/h, 5 km at 1.3 and 45 km/h.
    drive = estimate_drive(TravelProfile(), 10_000)

    assert (drive.metres, drive.seconds) == (13_500, 840 + 520)
    assert (drive.low, drive.high) == (1020, 2040)
    assert estimate_drive(TravelProfile(), 10_000, trailer=True).seconds == pytest.approx(1.11 * 1360, abs=1)


@given(st.floats(0, 400_000), st.floats(0, 400_000))
def test_longer_distance_never_takes_less_time(one: float, other: float) -> None:
    near, far = (estimate_drive(TravelProfile(), straight) for straight in sorted((one, other)))

    assert near.seconds <= far.seconds
    assert near.metres <= far.metres


def test_profile_is_fitted_to_drives() -> None:
    drives = [
        ClockedDrive(10_000, int(1360 * share), metres=14_850)
        for share in (1.3, 1.0, 1.1, 1.2, 1.25, 1.2, 1.15, 1.6, 0.9)
    ]
    learned = fit_profile(TravelProfile(), drives)

    # The middle drive took 1.2 times the estimate; the roads were a tenth longer; nine drives bound the next one.
    now = estimate_drive(learned, 10_000)
    assert now.seconds == pytest.approx(1.2 * 1360, rel=0.01)
    assert now.metres == pytest.approx(14_850, rel=0.001)
    assert now.low == pytest.approx(0.9 * 1360, rel=0.01)
    assert now.high == pytest.approx(1.6 * 1360, rel=0.01)
    assert learned.drives == 9


def test_too_few_drives_change_nothing() -> None:
    few = [ClockedDrive(10_000, 4000)] * 4
    assert fit_profile(TravelProfile(), few) == TravelProfile()
    assert fit_profile(TravelProfile(), [ClockedDrive(10, 4000)] * 20) == TravelProfile()


def test_matrix_includes_set_up_time_except_at_the_shop() -> None:
    roads = estimate_matrix(TravelProfile(), [SHOP, NEAR])

    assert roads.metres[0][1] == roads.metres[1][0]
    assert roads.seconds[0][1] - roads.seconds[1][0] == TravelProfile().per_stop
    river = estimate_matrix(TravelProfile(), [SHOP, NEAR], extra={frozenset({0, 1}): 720})
    assert river.seconds[1][0] - roads.seconds[1][0] == 720


def test_place_without_position_or_too_far_is_named() -> None:
    lisbon = NamedPosition("Ash Farm", Position(38.7, -9.1))
    with pytest.raises(Invalid) as refusal:
        estimate_matrix(TravelProfile(), [SHOP, NamedPosition("Old Orchard", None), lisbon])

    assert [(fault.field, fault.code) for fault in refusal.value.fields] == [
        ("places.1.position", "position_missing"),
        ("places.2.position", "position_far"),
    ]
    assert "Old Orchard" in render(refusal.value.fields[0].reason)
    assert "Ash Farm" in render(refusal.value.fields[1].reason)


def _table(**change: Any) -> dict[str, Any]:
    return {
        "code": "Ok",
        "durations": [[0, 600.4, 2000], [610, 0, 1900], [2000, 1900, 0]],
        "distances": [[0, 7000.2, 45_000], [7100, 0, 44_000], [45_000, 44_000, 0]],
    } | change


def test_a_service_table_is_read() -> None:
    roads = read_table(_table(), TravelProfile(), [SHOP, NEAR, FAR])

    assert (roads.metres[0][1], roads.seconds[0][1], roads.seconds[1][0]) == (7001, 601 + 240, 610)
    assert table_query([Position(40, -75), Position(40.05, -75.02)]) == (
        "/table/v1/driving/-75.000000,40.000000;-75.020000,40.050000?annotations=duration,distance"
    )


def test_a_pair_without_a_road_is_estimated() -> None:
    table = _table(durations=[[0, None, 2000], [610, 0, 1900], [2000, 1900, 0]])
    places = [SHOP, NEAR, FAR]

    roads = read_table(table, TravelProfile(), places)
    assert roads.seconds[0][1] == estimate_matrix(TravelProfile(), places).seconds[0][1]


@pytest.mark.parametrize(
    "payload",
    [
        None,
        {"code": "InvalidQuery"},
        _table(durations=[[0]]),
        _table(distances=[[0, 1, 2], [0, 1, 2], ["a", 1, 2]]),
        _table(durations=[[0, 0, 2000], [610, 0, 1900], [2000, 1900, 0]]),
        _table(durations=[[0, -1, 2000], [610, 0, 1900], [2000, 1900, 0]]),
        _table(durations=[[0, float("nan"), 2000], [610, 0, 1900], [2000, 1900, 0]]),
    ],
)
def test_table_with_holes_or_zeros_is_not_used(payload: Any) -> None:
    with pytest.raises(TableUnusable):
        read_table(payload, TravelProfile(), [SHOP, NEAR, FAR])


@pytest.mark.parametrize(
    ("text", "position"),
    [
        # RFC 5870, section 6.1 and 6.2.
        ("geo:13.4125,103.8667", Position(13.4125, 103.8667)),
        ("geo:48.2010,16.3695,183", Position(48.2010, 16.3695)),
        ("geo:66,30;u=6.500;FOo=this%2dthat", Position(66, 30)),
        ("40.7128, -74.006", Position(40.7128, -74.006)),
        ("40.7128° N, 74.006° W", Position(40.7128, -74.006)),
    ],
)
def test_positions_are_read(text: str, position: Position) -> None:
    assert read_position(text) == position


@pytest.mark.parametrize("text", ["", "here", "91, 0", "0, 181", "geo:1,2;crs=moon", "40.7"])
def test_invalid_position_is_refused(text: str) -> None:
    with pytest.raises(Invalid) as refusal:
        read_position(text, field="site.position")
    assert refusal.value.fields[0].field == "site.position"


def test_shop_sets_its_own_bands() -> None:
    flat = replace(TravelProfile(), bands=(DistanceBand(None, 1.0, 36.0),))
    assert (estimate_drive(flat, 3600).metres, estimate_drive(flat, 3600).seconds) == (3600, 360)
