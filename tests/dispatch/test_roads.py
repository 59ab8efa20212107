"""Travel times from a matrix service, played by a server on this machine, and its invalid answers.

The format is OSRM's table service (project-osrm.org, HTTP API).
"""

from collections.abc import Iterator
from typing import Any

import pytest
from django.core.cache import cache
from pytest_django import Settings

from shopapi.core.rendering import with_words
from shopapi.dispatch.services import travel_times
from shopapi.dispatch.services.travel_times import load_travel_matrices
from shopapi.planner.geodesics import Position
from shopapi.planner.travel import NamedPosition, TravelProfile, estimate_matrix
from tests.factories.fake_service import DRIPPING, SILENT, FakeService, fake_service, shortened

PLACES = [NamedPosition("The yard", Position(40.30, -98.44)), NamedPosition("Barn", Position(40.35, -98.44))]
TABLE = {"code": "Ok", "durations": [[0, 600.4], [660, 0]], "distances": [[0, 7000], [7100, 0]]}


@pytest.fixture
def tables(settings: Settings) -> Iterator[FakeService]:
    cache.clear()
    with fake_service() as server:
        settings.MATRIX_URL = server.url
        yield server


def test_the_service_is_asked_once_for_a_pair(tables: FakeService) -> None:
    travel_profile = TravelProfile(trailer=1, per_stop=0)
    tables.answers = [(200, TABLE)]
    first, again = load_travel_matrices(travel_profile, PLACES), load_travel_matrices(travel_profile, PLACES)
    assert first == again
    (found, _), source, words = first
    assert (found.seconds, found.metres, source, words) == (((0, 601), (660, 0)), ((0, 7000), (7100, 0)), "service", [])
    assert tables.asked == ["/table/v1/driving/-98.440000,40.300000;-98.440000,40.350000?annotations=duration,distance"]


@pytest.mark.parametrize(
    "answer",
    [
        (302, b""),
        (503, b""),
        # As the service says it when it has no data for a position.
        (400, {"code": "NoSegment", "message": "Could not find a matching segment for coordinate 1"}),
        (200, b"<html>"),
        (200, b""),
        (200, b"[[0, 1], [1, 0]]"),
        (200, SILENT),
        (200, DRIPPING),
        (200, {"code": "NoTable"}),
        (200, {"code": "Ok", "durations": [[0, 600], [660, 0]]}),
        (200, {"code": "Ok", "durations": [[0, 600]], "distances": [[0, 7000]]}),
        (200, {"code": "Ok", "durations": [[0, "10 min"], [660, 0]], "distances": [[0, 7000], [7100, 0]]}),
        (200, {"code": "Ok", "durations": [[0, 0], [0, 0]], "distances": [[0, 0], [0, 0]]}),
    ],
)
def test_times_are_estimated_and_the_plan_says_so_until_the_service_is_back(
    tables: FakeService, answer: tuple[int, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(travel_times, "LIMITS", shortened(travel_times.LIMITS, answer[1]))
    tables.answers = [answer, (200, TABLE)]
    (found, _), source, remarks = load_travel_matrices(TravelProfile(), PLACES)
    assert source == "fallback"
    assert found.seconds[0][1] > 300
    assert "the shop's own estimate" in with_words(remarks[0]).words
    # No redirect was followed, and the invalid answer is not cached.
    assert len(tables.asked) == 1
    assert load_travel_matrices(TravelProfile(), PLACES)[1:] == ("service", [])


def test_a_pair_without_a_road_goes_by_the_rule_and_is_named(tables: FakeService) -> None:
    table = {"code": "Ok", "durations": [[0, None], [660, 0]], "distances": [[0, None], [7100, 0]]}
    tables.answers = [(200, table)]
    for _ in range(2):
        (found, _), source, (remark,) = load_travel_matrices(TravelProfile(trailer=1, per_stop=0), PLACES)
        by_rule = estimate_matrix(TravelProfile(trailer=1, per_stop=0), PLACES, trailer=True)
        assert (source, found.seconds[0][1], found.seconds[1][0]) == ("service", by_rule.seconds[0][1], 660)
        assert "no road from The yard to Barn;" in with_words(remark).words


def test_a_service_that_is_gone_is_no_error(settings: Settings) -> None:
    settings.MATRIX_URL = "http://127.0.0.1:9"
    cache.clear()
    assert load_travel_matrices(TravelProfile(), PLACES)[1] == "fallback"
