"""Resources: each is declared once, in its app's `resources.py`.

REST paths, sync, the catalog of commands, the admin, the diagrams and the generic tests follow from the description.
"""

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass, field
from functools import cache, cached_property
from itertools import takewhile
from typing import Any
from uuid import UUID

from django.apps import AppConfig, apps
from django.core.exceptions import FieldDoesNotExist, ImproperlyConfigured
from django.db.models import DateField, DateTimeField, Model, QuerySet
from pydantic import TypeAdapter, ValidationError, create_model

from shopapi.core.actor import Actor
from shopapi.core.commands import Command
from shopapi.core.discovery import app_modules
from shopapi.core.errors import NotFound, unpack
from shopapi.core.parameters import Filters, with_times
from shopapi.core.rendering import plain_context, show_stored, with_words
from shopapi.core.schema import Schema, holds_reasons, holds_schemas, parse, to_json

# The field of a row that holds the code and values of its reason.
BECAUSE = "because"
# Where each value may go. Any: enums and literals are keys too, and a mapping takes no narrower ones.
Transitions = Mapping[Any, Collection[str]]


@dataclass(frozen=True)
class Resource:
    """One kind of row: its schema, how it is read, the commands that create and change it.

    `rows(actor)` is what the actor may see, by default every row of the shop; `show(actor, instance)` is a row as the
    actor sees it, by default `row` built from the instance. A wrong declaration raises ImproperlyConfigured.
    """

    kind: str
    model: type[Model]
    row: type[Schema]
    _: KW_ONLY
    # The permission to list it on REST; None: it has no paths of its own.
    reads: str | None = None
    # Names of fields of the row, or a class where a filter is something else.
    filters: type[Filters] | Sequence[str] = ()
    commands: Sequence[Command[Any, Any]] = ()
    rows: Callable[[Actor], QuerySet[Any]] = field(default=None)  # type: ignore[assignment] # __post_init__ gives the default
    show: Callable[[Actor, Any], Schema] = field(default=None)  # type: ignore[assignment] # __post_init__ gives the default
    # Whether devices store its rows.
    synced: bool = True
    # Whether programs find its rows in the change list: all that REST lists, except a log that reading the list writes.
    in_change_list: bool = True
    # Whether a phone may queue its commands; if not, they exist on REST alone.
    queued: bool = True
    # When a new device gets its rows: lower numbers first, then in the order of the declarations.
    snapshot_order: int = 0
    # The kind in paths; derived from `kind` where the English plural is regular.
    plural: str = ""
    # Fields of a new row that are neither an argument nor a constant: its service computes them.
    computed_fields: Collection[str] = ()
    # Columns that hold a stored reason (code and values); readers get the sentence. A row with a field `because` shows
    # code and values of the first.
    reasons: Collection[str] = ()
    # Transition tables, by the name of their field.
    transitions: Mapping[str, Transitions] = field(default_factory=dict)
    # The admin page: columns, filters, searched columns, columns never shown.
    columns: Sequence[str] = ()
    column_filters: Sequence[str] = ()
    search: Sequence[str] = ()
    hidden: Sequence[str] = ()

    def __post_init__(self) -> None:
        defaults = {
            "rows": self._all_rows_of_shop if self.rows is None else self.rows,
            "show": self._with_sentences(self._row_from_model if self.show is None else self.show),
            "plural": self.plural or plural_path(self.kind),
        }
        for name, value in defaults.items():
            object.__setattr__(self, name, value)
        for lookup in self.filter_class.lookups().values():
            self._require_model_field(lookup.split("__", maxsplit=1)[0], "filter")
        for name in (*self.columns, *self.column_filters, *self.hidden, *self.reasons):
            self._require_model_field(name, "column")
        for name in self.computed_fields:
            if name not in self.row.model_fields:
                raise self._config_error(f"“{name}”, which its service works out, is no field of {self.row.__name__}")
        for name in self.transitions:
            self._require_model_field(name, "transition table")
        for command in self.commands:
            if "id" not in command.schema.model_fields:
                raise self._config_error(f"the command {command.name} has no argument “id”, which names the row")
        # Read once here, so that a clash is found when the server starts.
        self.create_commands, self.actions  # noqa: B018

    @property
    def in_feed(self) -> bool:
        """Whether the change feed records its rows: for devices, for programs, or for both."""
        return self.synced or (self.in_change_list and self.reads is not None)

    @property
    def label(self) -> str:
        """Several of it, in words."""
        return self.plural.replace("-", " ")

    @cached_property
    def filter_class(self) -> type[Filters]:
        """The filters of its lists: those it names, with the types of the row's fields, and its days and instants."""
        return with_times(self._named_filters(), self._columns_of(DateField), self._columns_of(DateTimeField))

    def _columns_of(self, kind: type) -> list[str]:
        """The columns of exactly this kind that the row shows, in the order of the row."""
        columns = {column.name for column in self.model._meta.concrete_fields if type(column) is kind}
        return [name for name in self.row.model_fields if name in columns]

    def _named_filters(self) -> type[Filters]:
        if isinstance(self.filters, type):
            return self.filters
        types: dict[str, Any] = {}
        for name in self.filters:
            if name not in self.row.model_fields:
                known = ", ".join(self.row.model_fields)
                raise self._config_error(f"the filter “{name}” is no field of {self.row.__name__}, which has: {known}")
            types[name] = (self.row.model_fields[name].annotation | None, None)  # type: ignore[operator] # an annotation is any form of a type
        return create_model(f"{self.row.__name__.removesuffix('Row')}Filters", __base__=Filters, **types)

    @cached_property
    def create_commands(self) -> dict[str, Command[Any, Any]]:
        """The commands that create a row, by the last part of their path; that of the usual one is empty."""
        return self._by_path_part((command.rest_name, command) for command in self.commands if command.creates_row)

    @cached_property
    def actions(self) -> dict[str, Command[Any, Any]]:
        """The commands that change or remove a row, by the last part of their path."""
        changes = (command for command in self.commands if command.on_rest and not command.creates_row)
        return self._by_path_part((command.rest_name or self._action_name(command), command) for command in changes)

    def _action_name(self, command: Command[Any, Any]) -> str:
        return command.name.removesuffix(f"_{self.kind}").replace("_", "-")

    def _by_path_part(self, pairs: Any) -> dict[str, Command[Any, Any]]:
        found: dict[str, Command[Any, Any]] = {}
        for part, command in pairs:
            if part in found:
                both = f"{found[part].name} and {command.name} have the same path, ending in “{part}”"
                raise self._config_error(f"{both}; give one of them another `rest_name`")
            found[part] = command
        return found

    def _require_model_field(self, name: str, what: str) -> None:
        try:
            self.model._meta.get_field(name)
        except FieldDoesNotExist:
            raise self._config_error(f"the {what} “{name}” is no field of {self.model.__name__}") from None

    def _config_error(self, words: str) -> ImproperlyConfigured:
        return ImproperlyConfigured(f"Resource “{self.kind}”: {words}.")

    def _all_rows_of_shop(self, actor: Actor) -> QuerySet[Any]:
        return self.model._default_manager.filter(shop_id=actor.shop_id)

    @cached_property
    def _holds_schemas(self) -> bool:
        return holds_schemas(self.row)

    def _with_sentences(self, show: Callable[[Actor, Any], Schema]) -> Callable[[Actor, Any], Schema]:
        deep = holds_reasons(self.row)
        if not self.reasons and not deep:
            return show

        def with_sentences(actor: Actor, instance: Any) -> Schema:
            row = show(actor, instance)
            stored = {name: getattr(row, name) or "" for name in self.reasons}
            shown: dict[str, Any] = {name: show_stored(text) for name, text in stored.items()}
            if BECAUSE in self.row.model_fields:
                shown[BECAUSE] = self._because(next(iter(stored.values())))
            row = row.model_copy(update=shown)
            return with_words(row) if deep else row

        return with_sentences

    @cached_property
    def _family(self) -> TypeAdapter[Any]:
        return TypeAdapter(self.row.model_fields[BECAUSE].annotation or Any)

    def _because(self, stored: str) -> Any:
        """Code and values of a stored reason; None where it has none, or one of a family that the row does not name."""
        reason = unpack(stored)
        try:
            return self._family.validate_python({"code": reason.code, "context": plain_context(reason.context)})
        except ValidationError:
            return None

    def _row_from_model(self, actor: Actor, instance: Any) -> Schema:
        if self._holds_schemas:
            # What is a schema in the row is kept as to_json JSON, and so is read as such.
            names = [name for name in self.row.model_fields if name != BECAUSE]
            return parse(self.row, {name: to_json(getattr(instance, name)) for name in names})
        return self.row.model_validate(instance)


def plural_path(kind: str) -> str:
    """The regular English plural of a kind, used in paths.

    >>> [plural_path(kind) for kind in ("quote_line", "work_history", "day_switch")]
    ['quote-lines', 'work-histories', 'day-switches']
    """
    word = kind.replace("_", "-")
    if word.endswith("y") and word[-2] not in "aeiou":
        return f"{word[:-1]}ies"
    return f"{word}es" if word.endswith(("s", "x", "ch", "sh")) else f"{word}s"


@cache
def all_resources() -> tuple[Resource, ...]:
    """Every resource of every installed app, in the order in which a new device needs them.

    An app's resources are `RESOURCES` in its `resources.py`; apps come in the order of INSTALLED_APPS, deepest first.
    Raises ImproperlyConfigured.
    """
    return check_resources(resource for module in _resource_modules() for resource in module.RESOURCES)


def resources_below(label: str) -> list[Resource]:
    """The resources of the apps below one of ours, which it may use."""
    lower = takewhile(lambda config: config.label != label, apps.get_app_configs())
    return [resource for module in _resource_modules(lower) for resource in module.RESOURCES]


def _resource_modules(configs: Iterable[AppConfig] | None = None) -> list[Any]:
    return [module for module in app_modules("resources", configs) if module.__name__ != __name__]


def check_resources(resources: Any) -> tuple[Resource, ...]:
    """The resources in their order. Raises ImproperlyConfigured where two claim a kind, a path or a command."""
    found = tuple(sorted(resources, key=lambda resource: resource.snapshot_order))
    claims = {
        "kind": [resource.kind for resource in found],
        "plural": [resource.plural for resource in found],
        "model": [resource.model.__name__ for resource in found],
        "command": [command.name for resource in found for command in resource.commands],
    }
    for what, names in claims.items():
        twice = [name for name, count in Counter(names).items() if count > 1]
        if twice:
            raise ImproperlyConfigured(f"Each {what} belongs to one resource; claimed twice: {', '.join(twice)}.")
    return found


def resource_of(kind: str) -> Resource:
    """The resource of a kind. Raises KeyError."""
    return {resource.kind: resource for resource in all_resources()}[kind]


def get_row(resource: Resource, actor: Actor, row_id: UUID) -> Any:
    """A visible row. Raises NotFound: a row of another shop is as unknown as one that never was."""
    # Not `first()`, which would put the one row in order.
    found = next(iter(resource.rows(actor).filter(id=row_id)), None)
    if found is None:
        raise NotFound(resource.label, row_id)
    return found
