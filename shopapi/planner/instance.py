"""Reads the neutral instance file, on which planners are compared, into a `Problem`.

Its rules and units are in `fixtures/routing/SOURCES.md`. Vehicles of a type become rigs "TYPE.NUMBER".
"""

from collections.abc import Iterator, Mapping, Sequence
from math import floor, sqrt
from typing import Annotated, Any, Literal

from pydantic import Field

from shopapi.core.errors import FieldError, refuse_faults
from shopapi.core.schema import Schema, parse
from shopapi.planner.problem import Problem, RigDay, Route, StopTask, TimeWindow, TravelMatrix

Count = Annotated[int, Field(ge=0, le=10**12)]
Span = tuple[Count, Count]
Amounts = tuple[Count, ...]


class Depot(Schema):
    x: float
    y: float
    tw: Span


class VehicleType(Schema):
    """`allowed`: the clients that this type may serve; None: all."""

    count: Annotated[int, Field(ge=0, le=1000)]
    capacity: Amounts
    tw: Span
    max_duration: Count | None
    reload: bool
    allowed: tuple[int, ...] | None


class Client(Schema):
    id: int
    x: float
    y: float
    kind: str = ""
    delivery: Amounts
    pickup: Amounts
    tw: Span
    service: Count
    release: Count
    required: bool
    prize: Count


class Instance(Schema):
    """The file. Without a matrix, distances are computed from x and y by `scale` and `rule`."""

    name: str = ""
    family: str = ""
    source: Any = None
    scale: Annotated[int, Field(ge=1, le=10**6)]
    rule: Literal["nint", "floor", "matrix"]
    depot: Depot
    vehicles: tuple[VehicleType, ...]
    clients: tuple[Client, ...]
    matrix: tuple[tuple[Count, ...], ...] | None = None


def read_instance(payload: object) -> Problem:
    """The problem of an instance file; clients become stops whose key is their id.

    Raises:
        Invalid: with the field at fault and the way out.
    """
    instance = parse(Instance, payload)
    _check_consistency(instance)
    roads = _roads(instance)
    stops = tuple(
        StopTask(
            key=str(client.id),
            place=number,
            brings=client.delivery,
            takes=client.pickup,
            windows=(TimeWindow(*client.tw),),
            service=client.service,
            release=client.release,
            required=client.required,
            prize=0 if client.required else client.prize,
        )
        for number, client in enumerate(instance.clients, start=1)
    )
    rigs = tuple(
        RigDay(
            key=f"{number}.{each}",
            capacity=vehicle.capacity,
            shift=TimeWindow(*vehicle.tw),
            longest=vehicle.max_duration,
            reload=vehicle.reload,
            barred=_barred(instance, vehicle),
        )
        for number, vehicle in enumerate(instance.vehicles)
        for each in range(vehicle.count)
    )
    return Problem((TravelMatrix(roads, roads),), rigs, stops, hours=TimeWindow(*instance.depot.tw))


def routes_of(solution: Sequence[Mapping[str, Any]]) -> tuple[Route, ...]:
    """Routes from the neutral form: [{"vehicle": type, "trips": [[client ids], ...]}, ...]."""
    used: dict[int, int] = {}
    routes = []
    for route in solution:
        kind = route["vehicle"]
        number = used.get(kind, 0)
        used[kind] = number + 1
        routes.append(Route(f"{kind}.{number}", tuple(tuple(str(at) for at in trip) for trip in route["trips"])))
    return tuple(routes)


def solution_of(routes: Sequence[Route]) -> list[dict[str, Any]]:
    """Routes in the neutral form, the inverse of `routes_of`."""
    return [
        {"vehicle": int(route.rig.partition(".")[0]), "trips": [[int(key) for key in trip] for trip in route.trips]}
        for route in routes
        if route.keys
    ]


def _barred(instance: Instance, vehicle: VehicleType) -> frozenset[str]:
    if vehicle.allowed is None:
        return frozenset()
    return frozenset(str(client.id) for client in instance.clients if client.id not in set(vehicle.allowed))


def _check_consistency(instance: Instance) -> None:
    """Checks across fields: matching sizes, unique ids, spans that end after they begin."""
    faults = [*_wrong_spans(instance), *_wrong_sizes(instance)]
    ids = [client.id for client in instance.clients]
    if len(set(ids)) < len(ids):
        faults.append(FieldError("clients", "id_twice"))
    if not instance.vehicles:
        faults.append(FieldError("vehicles", "too_short", message="vehicle_missing"))
    refuse_faults(faults, message="fields_invalid")


def _wrong_spans(instance: Instance) -> Iterator[FieldError]:
    spans = [("depot.tw", instance.depot.tw)]
    spans += [(f"vehicles.{number}.tw", vehicle.tw) for number, vehicle in enumerate(instance.vehicles)]
    spans += [(f"clients.{number}.tw", client.tw) for number, client in enumerate(instance.clients)]
    for name, (opens, closes) in spans:
        if closes < opens:
            yield FieldError(name, "span_reversed")


def _wrong_sizes(instance: Instance) -> Iterator[FieldError]:
    size = len(instance.clients) + 1
    if not instance.vehicles:
        return
    dimensions = len(instance.vehicles[0].capacity)
    loads = [(f"vehicles.{number}.capacity", vehicle.capacity) for number, vehicle in enumerate(instance.vehicles)]
    for number, client in enumerate(instance.clients):
        loads += [(f"clients.{number}.delivery", client.delivery), (f"clients.{number}.pickup", client.pickup)]
    for name, load in loads:
        if len(load) != dimensions:
            yield FieldError(name, "dimensions_differ", context={"dimensions": dimensions})
    rows = instance.matrix or ()
    if instance.rule == "matrix" and (len(rows) != size or any(len(row) != size for row in rows)):
        yield FieldError("matrix", "matrix_size", context={"size": size})


def _roads(instance: Instance) -> tuple[tuple[int, ...], ...]:
    if instance.rule == "matrix" and instance.matrix is not None:
        return instance.matrix
    points = [(instance.depot.x, instance.depot.y), *((client.x, client.y) for client in instance.clients)]
    scale = instance.scale
    down = instance.rule == "floor"

    def apart(one: tuple[float, float], other: tuple[float, float]) -> int:
        straight = sqrt((one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2)
        return floor(scale * straight) if down else int(scale * straight + 0.5)

    return tuple(tuple(apart(one, other) for other in points) for one in points)
