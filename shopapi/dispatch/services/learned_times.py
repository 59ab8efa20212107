"""Learn how long stops and drives take from a shop's past days."""

from math import log
from statistics import median, stdev

from shopapi.core.actor import Actor
from shopapi.core.schema import to_json
from shopapi.dispatch import queries
from shopapi.dispatch.models import Stop
from shopapi.dispatch.rules.schemas.yard import LearnedTimes
from shopapi.planner.geodesics import Position, geodesic_metres
from shopapi.planner.travel import ENOUGH_FOR_INTERVAL, ClockedDrive, TravelProfile, fit_profile

# How many of the latest stops and legs are used.
LATEST = 60
# A longer stay is ignored: somebody forgot to stamp.
LONGEST_MINUTES = 720


def update_learned_times(*, actor: Actor) -> bool:
    """Update the yard's learned times; True if they changed. The caller holds the transaction."""
    yard = queries.yards(actor).select_for_update().first()
    if yard is None:
        return False
    figures = _services(actor) | _drives(actor, yard.trailer_percent, yard.turn_in_minutes)
    learned = to_json(LearnedTimes.model_validate(figures))
    if learned == yard.learned:
        return False
    yard.learned = learned
    yard.save(update_fields=["learned"])
    return True


def _services(actor: Actor) -> dict[str, int | None]:
    """By kind of stop: the median minutes between arriving and leaving, and their spread where there are enough."""
    found: dict[str, int | None] = {}
    for kind in ("pickup", "return", "visit"):
        done = queries.stops(actor).filter(kind=kind, state="left", arrived_at__isnull=False, left_at__isnull=False)
        made = [(stop, took) for stop in done.order_by("-left_at", "id")[:LATEST] if (took := _minutes(stop))]
        middle = median(took for _, took in made) if made else None
        found[f"{kind}_minutes"] = None if middle is None else round(middle)
        found[f"{kind}_count"] = len(made)
        # Relative to the planned minutes, or to the usual ones: a long job is not a deviation.
        missed = [log(took / (stop.service_minutes or middle or took)) for stop, took in made]
        enough = len(missed) >= ENOUGH_FOR_INTERVAL
        found[f"{kind}_spread_permille"] = round(1000 * stdev(missed)) if enough else None
    return found


def _minutes(stop: Stop) -> float | None:
    if stop.arrived_at is None or stop.left_at is None:
        return None
    minutes = (stop.left_at - stop.arrived_at).total_seconds() / 60
    return minutes if 1 <= minutes <= LONGEST_MINUTES else None


def _drives(actor: Actor, trailer_percent: int, turn_in: int) -> dict[str, int | None]:
    """Driven legs relative to the default speeds; empty while there are too few for `fit_profile`."""
    usual = TravelProfile(trailer=100 / (100 - trailer_percent), per_stop=60 * turn_in)
    drives = []
    for leg in queries.legs(actor).select_related("run__rig").order_by("-left_at", "id")[:LATEST]:
        ends = (Position(float(leg.from_lat), float(leg.from_lon)), Position(float(leg.to_lat), float(leg.to_lon)))
        # The clocked time includes turning in, which is not driving.
        tows = leg.run.rig.trailer is not None
        drives.append(ClockedDrive(geodesic_metres(*ends), max(1, leg.seconds - usual.per_stop), trailer=tows))
    fitted = fit_profile(usual, drives)
    if not fitted.drives:
        return {"drive_count": len(drives)}
    slower = usual.bands[0].km_per_hour / fitted.bands[0].km_per_hour
    return {
        "drive_permille": round(1000 * slower),
        "drive_low_permille": round(1000 * fitted.low),
        "drive_high_permille": round(1000 * fitted.high),
        "drive_count": fitted.drives,
    }
