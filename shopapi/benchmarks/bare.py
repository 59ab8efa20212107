"""Bare views for `benchmark api`: a plain Django view that runs the statements which the API ran for the same answer.

It has the same middleware and the same transaction, and writes the rows that the answer is made of as JSON.
"""

import json
import os
import re
from functools import cache
from pathlib import Path
from typing import Any

from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.urls import URLPattern, URLResolver, include, path
from django.views.decorators.csrf import csrf_exempt

from shopapi.core.ids import uuid7

STATEMENTS = "DRAWBAR_BENCHMARK_STATEMENTS"
"""The environment variable that names the file with the statements of each view."""
# What stands in a statement for an id that is new with each request, by the id of the request that was recorded.
FRESH = "{new %s}"
MARKED = re.compile("{new ([0-9a-f]{32})}")


@csrf_exempt
def bare(request: HttpRequest, name: str) -> HttpResponse:
    """Run the statements of this name and answer what the last SELECT found."""
    rows: list[dict[str, Any]] = []
    fresh: dict[str, str] = {}
    with connection.cursor() as cursor:
        for statement, is_answer in _statements()[name]:
            cursor.execute(MARKED.sub(lambda one: fresh.setdefault(one[1], str(uuid7())), statement))
            if is_answer and cursor.description:
                names = [column.name for column in cursor.description]
                rows = [dict(zip(names, row, strict=True)) for row in cursor.fetchall()]
    return HttpResponse(json.dumps({"rows": rows}, default=str), content_type="application/json")


@cache
def _statements() -> dict[str, list[tuple[str, bool]]]:
    found: dict[str, list[tuple[str, bool]]] = json.loads(Path(os.environ[STATEMENTS]).read_text("utf-8"))
    return found


urlpatterns: list[URLPattern | URLResolver] = [
    path("api/bare/<str:name>", bare),
    path("", include("shopapi.config.urls")),
]
