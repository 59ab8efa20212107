"""Renders a code and its values as a sentence from the catalogs, in the language of the request.

An app's English sentences are `MESSAGES` in its `messages.py`; those of another language are `MESSAGES` in
`messages_<language>.py` beside it ("messages_es.py"). What a catalog lacks is shown in English.
"""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from pkgutil import iter_modules
from typing import Any, TypeVar

from django.apps import apps

from shopapi.core.discovery import app_modules
from shopapi.core.errors import Context, ContextValue, FieldError, Reason, unpack
from shopapi.core.schema import ReasonRow, Schema

ENGLISH = "en"
# The language of the current response; `config.middleware` sets it from the request.
language: ContextVar[str] = ContextVar("language", default=ENGLISH)


@contextmanager
def speaking(wanted: str) -> Iterator[None]:
    """Make sentences in this language while the block runs."""
    before = language.set(wanted)
    try:
        yield
    finally:
        language.reset(before)


@cache
def catalogs() -> Mapping[str, Mapping[str, str]]:
    """The sentences of every installed app by language and code."""
    found: dict[str, dict[str, str]] = {}
    for name in _catalog_modules():
        messages = found.setdefault(name.removeprefix("messages").lstrip("_") or ENGLISH, {})
        for module in app_modules(name):
            messages |= module.MESSAGES
    return found


def _catalog_modules() -> set[str]:
    ours = f"{__name__.split('.', maxsplit=1)[0]}."
    paths = [config.path for config in apps.get_app_configs() if config.name.startswith(ours)]
    names = {found.name for found in iter_modules(paths)}
    return {"messages"} | {name for name in names if name.startswith("messages_")}


def render(reason: Reason) -> str:
    """The sentence of a reason in the language of the response; a code without a catalog entry is spelled out."""
    if reason.text:
        return reason.text
    found = _entry(reason.code)
    if found is None:
        return f"{reason.code.replace('_', ' ').capitalize()}."
    return found.format_map(_Values({name: _value_words(name, value) for name, value in reason.context.items()}))


def plain_context(context: Context) -> dict[str, int | str]:
    """The values of a refusal as sent: figures and text, phrases rendered."""
    return {
        name: value if isinstance(value, int | str) else _value_words(name, value) for name, value in context.items()
    }


def _value_words(name: str, value: ContextValue) -> int | str:
    """The text of a placeholder: a phrase, the catalog's entry for the value ("rank.safety"), or the value itself."""
    if isinstance(value, Reason):
        return render(value)
    if isinstance(value, int | str):
        return _entry(f"{name}.{value}") or value
    return (_entry(f"{name}.between") or ", ").join(str(_value_words(name, each)) for each in value)


def _entry(code: str) -> str | None:
    found = catalogs()
    return found.get(language.get(), {}).get(code) or found[ENGLISH].get(code)


class _Values(dict[str, int | str]):
    """Values by placeholder; one that an older stored reason lacks is left out of the sentence."""

    def __missing__(self, key: str) -> str:
        return "…"


def render_fields(fields: Iterable[FieldError]) -> list[dict[str, Any]]:
    """Field errors as sent."""
    return [
        {
            "field": fault.field,
            "code": fault.code,
            "words": render(fault.reason),
            "message": fault.reason.code,
            "context": plain_context(fault.context),
        }
        for fault in fields
    ]


def show_stored(stored: str) -> str:
    """The sentence of a stored reason, empty if there is none."""
    return render(unpack(stored)) if stored else ""


S = TypeVar("S", bound=Schema)


def with_words(row: S) -> S:
    """A row with the sentence of every reason filled in, at any depth; a stored sentence is kept."""
    changed = {name: shown for name, value in row if (shown := _with_words(value)) is not value}
    if isinstance(row, ReasonRow) and not row.words:
        changed["words"] = render(row.reason)
    return row.model_copy(update=changed) if changed else row


def _with_words(value: Any) -> Any:
    if isinstance(value, Schema):
        return with_words(value)
    return [_with_words(each) for each in value] if isinstance(value, list) and value else value


def pick_language(accepted: str) -> str:
    """The first language of an `Accept-Language` header that has a catalog.

    >>> pick_language("de-CH, en;q=0.8")
    'en'
    """
    wanted: list[tuple[float, int, str]] = []
    for part in accepted.split(","):
        tag, _, weight = part.strip().partition(";q=")
        try:
            wanted.append((-float(weight or 1), len(wanted), tag.strip().lower()))
        except ValueError:
            continue
    for refused, _, tag in sorted(wanted):
        if refused < 0:
            for known in (tag, tag.partition("-")[0]):
                if known in catalogs():
                    return known
    return ENGLISH
