"""Requests recorded from an earlier build of the app: today's server gives the same outcomes.

`fixtures/old_apps/README.md` says how they were recorded.
"""

import json
from datetime import datetime
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlsplit
from uuid import UUID

import pytest

from shopapi.core.clock import held_at
from shopapi.core.models import SyncChange
from shopapi.core.tenancy import in_shop
from shopapi.sync.models import LoggedCommand
from shopapi.sync.queries import synced_kinds
from shopapi.sync.rules.app_build import MIN_BUILD
from shopapi.sync.services.push import PUSH_COMMANDS
from tests.factories.crews import Browser, Crew, open_crew

OLD_APPS = Path(__file__).parents[2] / "fixtures" / "old_apps"
BUILDS = sorted(path.stem for path in OLD_APPS.glob("*.json"))
# Codes of outcomes that have another name since.
RENAMED_CODES = {"doubted": "needs_review"}


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


def read_recorded(build: str, shop_id: UUID) -> dict[str, Any]:
    """What a build sent, as if it belonged to the shop."""
    text = (OLD_APPS / f"{build}.json").read_text(encoding="utf-8")
    shop = json.loads(text).get("shop")
    recorded: dict[str, Any] = json.loads(text.replace(shop, str(shop_id)) if shop else text)
    return recorded


def play(crew: Crew, recorded: dict[str, Any]) -> list[tuple[dict[str, Any], Any]]:
    """Each recorded request with the server's response; cursors are replaced by the last one given.

    Rows are asked for as the build that the server still gives them to, which the phone has by then.
    """
    browser, cursor = Browser(crew.owner), ""
    answers = []
    for request in recorded["requests"]:
        url = urlsplit(request["path"])
        path, query = url.path.removeprefix("/api/v1/"), dict(parse_qsl(url.query))
        if "cursor" in query:
            query["cursor"] = cursor
        if "device" in query:
            assert browser.get(path, **query).status_code == 426
            query["build"] = MIN_BUILD
        answer = browser.get(path, **query) if request["method"] == "GET" else browser.post(path, request["body"])
        body = answer.json() if answer.content else None
        if body and body.get("cursor"):
            cursor = body["cursor"]
        answers.append((request, answer))
    return answers


@pytest.mark.parametrize("build", BUILDS)
def test_recorded_requests_of_an_old_app_get_the_same_outcomes(crew: Crew, build: str) -> None:
    recorded = read_recorded(build, crew.shop_id)
    (push,) = (one["body"] for one in recorded["requests"] if one["path"].endswith("/push"))
    with held_at(datetime.fromisoformat(push["sent_wall"])):
        answers = play(crew, recorded)
    assert {answer.status_code for _, answer in answers} <= {200, 304}
    (pushed,) = (answer.json() for request, answer in answers if request["path"].endswith("/push"))
    named = {one["id"]: one["name"] for one in push["commands"]}
    outcomes = [[named[one["id"]], one["status"], one["code"]] for one in pushed["results"]]
    assert outcomes == [[name, status, RENAMED_CODES.get(code, code)] for name, status, code in recorded["outcomes"]]
    # Nothing is lost: commands that are not applied are logged unchanged.
    with in_shop(crew.shop_id):
        kept = {str(one.id): one.args for one in LoggedCommand.objects.all()}
    assert kept == {one["id"]: one["args"] for one in push["commands"]}
    # The server acknowledges the last number, which empties the queue.
    pulled = [answer.json() for request, answer in answers if "/pull" in request["path"] and answer.content]
    snapshots = [answer.json() for request, answer in answers if "/snapshot" in request["path"]]
    assert {answer["acks"][push["device"]] for answer in [*pulled, *snapshots] if answer.get("acks")} == {
        len(push["commands"])
    }
    with in_shop(crew.shop_id):
        changed = {(one.kind, str(one.row_id)) for one in SyncChange.objects.filter(dead=False)}
    shown = {(kind, row["id"]) for answer in snapshots for kind, rows in answer["rows"].items() for row in rows}
    assert {key for key in changed if key[0] in synced_kinds()} == shown


@pytest.mark.parametrize("build", BUILDS)
def test_recording_covers_most_commands(build: str) -> None:
    recorded = json.loads((OLD_APPS / f"{build}.json").read_text(encoding="utf-8"))
    names = {name for name, _, _ in recorded["outcomes"]}
    assert names <= set(PUSH_COMMANDS)
    assert len(names) >= 55
