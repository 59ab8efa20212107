"""A row of another shop is as unknown as one that never was: same status, same words, on every route with an id."""

from typing import Any

import pytest

from shopapi.core.ids import uuid7
from tests.api.conftest import Busy
from tests.factories.crews import Browser
from tests.structure.test_edge import doors

WITH_ID = sorted(
    path.removeprefix("api/v1/")
    for path, _ in doors()
    if path.startswith("api/v1/")
    and "<uuid:row_id>" in path
    and "commands" not in path
    # These want headers of their own: tests/files asks them for another shop's.
    and not path.startswith("api/v1/uploads/")
)


def answers(browser: Browser, route: str, row_id: object) -> dict[str, Any]:
    """Status and body of each method at a route for an id, with the id itself blotted out."""
    path = route.replace("<uuid:row_id>", str(row_id))
    found = {
        "GET": browser.get(path),
        "POST": browser.post(path, body_for(route, row_id)),
    }
    return {
        method: (answer.status_code, answer.content.decode().replace(str(row_id), "ID"))
        for method, answer in found.items()
        if answer.status_code != 405
    }


def body_for(route: str, row_id: object) -> dict[str, object]:
    """A body that a command of the route would take."""
    verb = route.rsplit("/", 1)[-1]
    field = {"customers": "name", "sites": "label", "machines": "make", "findings": "words", "shop": "name"}
    field["attachments"] = "caption"
    field |= {"yards": "opens", "rigs": "name"}
    more: dict[str, dict[str, object]] = {
        "edit": {
            "base": {field.get(route.split("/", maxsplit=1)[0], "notes"): "a"},
            "set": {field.get(route.split("/", maxsplit=1)[0], "notes"): "b"},
        },
        "move": {"stage": "repair"},
        "offer": {"valid_until": "2026-12-31", "digest": "0" * 64, "total_minor": 1},
        "settle": {} if route.startswith("time-entries/") else {"choice": "theirs"},
        "put-off": {"until": "2099-01-01"},
        "sent": {"sent_at": "2026-05-01T10:00:00Z"},
        "stop": {"ended_at": "2026-05-01T10:00:00Z"},
        "drop": {} if route.startswith("follow-ups/") else {"reason": "a slip"},
        "tell": {"opens": "2026-05-01T10:00:00Z", "closes": "2026-05-01T10:30:00Z"},
        "take-back": {"stamp": "arrived"},
        "fail": {"at": "2026-05-01T10:00:00Z", "reason": "nobody_home"},
        **{verb: {"at": "2026-05-01T10:00:00Z"} for verb in ("arrive", "leave", "start", "end", "break-down")},
    }
    if route.startswith("quotes/") and verb == "edit":
        more["edit"] = {"base": {"note": "a"}, "set": {"note": "b"}}
    if route.startswith("members/"):
        more["end"] = {}
    if route.startswith("stops/") and verb == "move":
        more["move"] = {}
    return {"id": str(row_id), **more.get(verb, {})}


def test_a_foreign_id_is_as_unknown_as_none(mine: Busy, theirs: Busy) -> None:
    browser = Browser(mine.crew.owner)
    assert len(WITH_ID) > 25
    for route in WITH_ID:
        foreign = answers(browser, route, theirs.ids[route.split("/")[0]])
        unknown = answers(browser, route, uuid7())
        assert foreign == unknown, route
        assert foreign, route
        for method, (status, body) in foreign.items():
            assert status == 404, (route, method, body)


def test_lists_hold_rows_of_ones_own_shop_alone(mine: Busy, theirs: Busy) -> None:
    browser = Browser(mine.crew.owner)
    for noun, own in mine.ids.items():
        answer = browser.get(noun)
        assert answer.status_code == 200, noun
        found = {row["id"] for row in answer.json()["rows"]}
        assert str(own) in found, noun
        assert str(theirs.ids[noun]) not in found, noun


@pytest.mark.parametrize("q", ["Stroud", "0142210", "HV22H-104877", "J-1001"])
def test_search_finds_in_ones_own_shop_alone(mine: Busy, theirs: Busy, q: str) -> None:
    found = {row["id"] for row in Browser(mine.crew.mechanic).get("search", q=q).json()["rows"]}
    assert found
    assert found <= {str(one) for one in mine.ids.values()}


@pytest.mark.parametrize(
    "q", ["Winie Stroud", "Winnie Strod", "winnie stroud", "555-014-2210", "014 2210", "HV22H-10487", "hartvail"]
)
def test_a_slip_of_the_finger_is_forgiven(mine: Busy, q: str) -> None:
    found = [row["kind"] for row in Browser(mine.crew.mechanic).get("search", q=q).json()["rows"]]
    assert found
    assert found[0] in {"customer", "machine"}


@pytest.mark.parametrize("q", ["Zebedee", "9998887"])
def test_what_is_not_there_is_not_found(mine: Busy, q: str) -> None:
    assert Browser(mine.crew.mechanic).get("search", q=q).json() == {"rows": []}


def test_writing_cannot_point_into_another_shop(mine: Busy, theirs: Busy) -> None:
    browser = Browser(mine.crew.owner)
    tries = {
        "sites": {"customer_id": theirs.ids["customers"], "label": "Barn"},
        "machines": {"customer_id": theirs.ids["customers"], "kind": "tiller"},
        "jobs": {"customer_id": theirs.ids["customers"], "machine_id": theirs.ids["machines"]},
        "complaints": {"job_id": theirs.ids["jobs"], "words": "Smokes"},
        "findings": {"job_id": theirs.ids["jobs"], "words": "Worn", "rank": "needed"},
        "meter-readings": {"machine_id": theirs.ids["machines"], "hours": "3", "read_on": "2026-01-01"},
        "quote-lines": {
            "quote_id": theirs.ids["quotes"],
            "position": 0,
            "kind": "fee",
            "rank": "needed",
            "words": "Fee",
            "fixed_minor": 100,
        },
    }
    for noun, body in tries.items():
        answer = browser.post(
            noun,
            {"id": str(uuid7()), **{key: str(value) if key.endswith("_id") else value for key, value in body.items()}},
        )
        assert answer.status_code == 404, (noun, answer.content)


@pytest.mark.parametrize(
    "noun", ["customers", "sites", "machines", "jobs", "complaints", "findings", "meter-readings", "members"]
)
def test_an_id_that_another_shop_has_used_is_taken_and_nothing_more(mine: Busy, theirs: Busy, noun: str) -> None:
    ids, used = mine.ids, {"id": str(theirs.ids[noun])}
    bodies: dict[str, dict[str, object]] = {
        "customers": {"name": "X"},
        "sites": {"customer_id": str(ids["customers"]), "label": "Barn"},
        "machines": {"customer_id": str(ids["customers"]), "kind": "tiller"},
        "jobs": {"customer_id": str(ids["customers"]), "machine_id": str(ids["machines"])},
        "complaints": {"job_id": str(ids["jobs"]), "words": "Smokes"},
        "findings": {"job_id": str(ids["jobs"]), "words": "Worn", "rank": "needed"},
        "meter-readings": {"machine_id": str(ids["machines"]), "hours": "3", "read_on": "2026-01-01"},
        "members": {"name": "Bo", "email": "bo@bo.example", "role": "mechanic", "password": "a long password"},
    }
    answer = Browser(mine.crew.owner).post(noun, used | bodies[noun])
    assert (answer.status_code, answer.json()["code"]) == (409, "id_taken")
    same = Browser(mine.crew.owner).post(noun, {"id": str(ids[noun])} | bodies[noun])
    assert same.content == answer.content
