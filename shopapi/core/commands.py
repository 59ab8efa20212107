"""Commands: named services, called alike by REST, the phone's queue and re-runs."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, Protocol, TypeVar, get_type_hints

from shopapi.core.actor import Actor
from shopapi.core.feed import lock_shop
from shopapi.core.schema import Edit, Schema, parse
from shopapi.core.tenancy import in_shop

S = TypeVar("S", bound=Schema)
Takes_contra = TypeVar("Takes_contra", bound=Schema, contravariant=True)
R = TypeVar("R")
Gives_co = TypeVar("Gives_co", covariant=True)
Upgrade = Callable[[dict[str, Any]], dict[str, Any]]


class Service(Protocol[Takes_contra, Gives_co]):
    """`verb_noun(*, actor, data)`: checks, asks the rules, writes, records; returns the row it made or changed."""

    def __call__(self, *, actor: Actor, data: Takes_contra) -> Gives_co: ...


@dataclass(frozen=True)
class Command(Generic[S, R]):
    """A service with its name, the schema of its arguments and the required permission.

    A *fact* has happened (a reading, a signature): it is applied or held, never refused for good.
    `creates_row`: its `id` is that of the new row. `deletes_row`: it deletes the row that its `id` names.
    `rest_name`: the last part of its path on REST where that does not follow from its name; without `on_rest`: none.
    `asks_proof`: a person gives the password or a passkey again before it, unless they did lately.
    `former_names`: what earlier versions called it; phones that were not updated yet send it so.
    `v` is the version of the arguments; `upgrades[n]` turns arguments of version n into those of version n + 1. Where
    an old command does more than the new one, `formerly[n]` is a service of its own for arguments of version n.
    Calling the command authorises the actor, opens one transaction on the actor's shop and takes the shop's
    write lock, so a service never has to.
    """

    name: str
    schema: type[S]
    needs: str
    fact: bool
    service: Service[S, R]
    creates_row: bool = False
    deletes_row: bool = False
    rest_name: str = ""
    on_rest: bool = True
    asks_proof: bool = False
    former_names: tuple[str, ...] = ()
    v: int = 1
    upgrades: Mapping[int, Upgrade] = field(default_factory=dict)
    formerly: Mapping[int, Service[Any, Any]] = field(default_factory=dict)

    @property
    def edits(self) -> type[Schema] | None:
        """The schema of the fields that it may change, where its arguments are an `Edit` of them."""
        fields: type[Schema] | None = self.schema.fields() if issubclass(self.schema, Edit) else None
        return fields

    def __call__(self, *, actor: Actor, data: S) -> R:
        with in_shop(actor.shop_id):
            lock_shop(actor.shop_id)
            return self.within(actor=actor, data=data)

    def read(self, args: Mapping[str, Any], *, v: int) -> S:
        """The arguments of version `v`, upgraded and checked. Raises Invalid."""
        current = dict(args)
        for older in range(v, self.v):
            current = self.upgrades[older](current)
        return parse(self.schema, current)

    def run_version(self, *, actor: Actor, args: Mapping[str, Any], v: int) -> R:
        """As `within`, with arguments of version `v` as they came. Raises Invalid."""
        current = dict(args)
        for older in range(v, self.v):
            if service := self.formerly.get(older):
                data = parse(_schema_of(service), current)
                self._authorise(actor)
                result: R = service(actor=actor, data=data)
                return result
            current = self.upgrades[older](current)
        return self.within(actor=actor, data=parse(self.schema, current))

    def within(self, *, actor: Actor, data: S) -> R:
        """Authorise and run in a transaction that the caller has opened, with the shop's write lock."""
        self._authorise(actor)
        return self.service(actor=actor, data=data)

    def _authorise(self, actor: Actor) -> None:
        actor.require(self.needs)
        if self.asks_proof:
            actor.require_proof()


def _schema_of(service: Service[S, Any]) -> type[S]:
    """The schema of a service's arguments: the annotation of `data`."""
    named: Any = service
    schema: type[S] = get_type_hints(named)["data"]
    return schema


def command(
    *,
    needs: str,
    fact: bool = False,
    creates_row: bool = False,
    deletes_row: bool = False,
    rest_name: str = "",
    on_rest: bool = True,
    asks_proof: bool = False,
    former_names: tuple[str, ...] = (),
    upgrades: Mapping[int, Upgrade] | None = None,
    formerly: Mapping[int, Service[Any, Any]] | None = None,
) -> Callable[[Service[S, R]], Command[S, R]]:
    """Make a service a command; its name is the function's, its schema the annotation of `data`.

    Its version is one more than the number of `upgrades` and `formerly`, which together begin at 1.
    """
    steps, services = dict(upgrades or {}), dict(formerly or {})

    def wrap(service: Service[S, R]) -> Command[S, R]:
        named: Any = service
        return Command(
            name=named.__name__,
            schema=_schema_of(service),
            needs=needs,
            fact=fact,
            service=service,
            creates_row=creates_row,
            deletes_row=deletes_row,
            rest_name=rest_name,
            on_rest=on_rest,
            asks_proof=asks_proof,
            former_names=former_names,
            v=len(steps) + len(services) + 1,
            upgrades=steps,
            formerly=services,
        )

    return wrap
