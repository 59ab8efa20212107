"""A command: one named service that REST, the phone's queue, the admin and re-runs all end in."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeVar, get_type_hints

from shopapi.core.actor import Actor
from shopapi.core.feed import lock_head
from shopapi.core.shape import Shape
from shopapi.core.tenancy import in_shop

S = TypeVar("S", bound=Shape)
Takes_contra = TypeVar("Takes_contra", bound=Shape, contravariant=True)
R = TypeVar("R")
Gives_co = TypeVar("Gives_co", covariant=True)


class Service(Protocol[Takes_contra, Gives_co]):
    """`verb_noun(*, actor, data)`: checks, asks the rules, writes, records; returns the row it made or changed."""

    def __call__(self, *, actor: Actor, data: Takes_contra) -> Gives_co: ...


@dataclass(frozen=True)
class Command(Generic[S, R]):
    """A service with its name, the shape of its arguments and the permission it needs.

    A *fact* has happened (a reading, ink): it is applied or held, never refused for good.
    Calling the command authorises the actor, opens one transaction on the actor's shop and takes the shop's
    place in line, so a service never has to.
    """

    name: str
    shape: type[S]
    needs: str
    fact: bool
    service: Service[S, R]

    def __call__(self, *, actor: Actor, data: S) -> R:
        with in_shop(actor.shop_id):
            lock_head(actor.shop_id)
            return self.within(actor=actor, data=data)

    def within(self, *, actor: Actor, data: S) -> R:
        """Authorise and run in a transaction that the caller has opened so and holds."""
        actor.require(self.needs)
        return self.service(actor=actor, data=data)


def command(*, needs: str, fact: bool = False) -> Callable[[Service[S, R]], Command[S, R]]:
    """Make a service a command; its name is the function's, its shape the annotation of `data`."""

    def wrap(service: Service[S, R]) -> Command[S, R]:
        named: Any = service
        shape = get_type_hints(named)["data"]
        return Command(name=named.__name__, shape=shape, needs=needs, fact=fact, service=service)

    return wrap
