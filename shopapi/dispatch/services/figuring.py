"""A run whose order people chose, checked by the rules that plans are checked by."""

from datetime import timedelta
from uuid import UUID

from shopapi.accounts.queries import shop_of
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, DomainError
from shopapi.core.feed import lock_head
from shopapi.core.shape import plain
from shopapi.dispatch import queries
from shopapi.dispatch.models import Run
from shopapi.dispatch.rules.check import Timed, Verdict, check_route
from shopapi.dispatch.rules.outing import rig_key
from shopapi.dispatch.rules.records import Caution, PlannedRun
from shopapi.dispatch.rules.telling import Place, planned_runs, reason_words
from shopapi.dispatch.rules.wording import REASONS
from shopapi.dispatch.services.gathering import gather
from shopapi.dispatch.services.roads import roads_between

# A run of today that was put together late is figured from the beginning of its shift all the same.
A_DAY = timedelta(days=1)


def figure_run(*, actor: Actor, run_id: UUID) -> None:
    """Figure times, loads and cautions of a run put together by hand, or say which rule it breaks.

    The caller holds the transaction. A run that is locked, under way or over is left alone. Raises Conflict
    `run_moved` when it changed meanwhile: the promise stays owed and is kept on the next ring.
    """
    run = queries.runs(actor).filter(id=run_id, state="planned").first()
    if run is None:
        return
    planned, cautions = _figured(actor, run)
    lock_head(actor.shop_id)
    if queries.run_for(actor, run_id).changed_at != run.changed_at:
        raise Conflict("run_moved", "The run changed while it was figured; it is figured again.")
    run.cautions = plain(cautions if planned is None else planned.cautions)
    run.margins, run.decks = ([], []) if planned is None else (plain(planned.margins), plain(planned.decks))
    run.legs = [] if planned is None else plain(planned.legs)
    run.leaves_at = None if planned is None else planned.leaves_at
    run.home_at = None if planned is None else planned.home_at
    run.metres = None if planned is None else planned.metres
    run.drive_seconds = None if planned is None else planned.drive_seconds
    run.save()
    times = {} if planned is None else {stop.stop_id: stop for stop in planned.stops}
    for stop in queries.stops_of(run):
        told = times.get(stop.id)
        stop.arrives_from = None if told is None else told.arrives_from
        stop.arrives_at = None if told is None else told.arrives_at
        stop.arrives_to = None if told is None else told.arrives_to
        stop.leaves_at = None if told is None else told.leaves_at
        stop.save(update_fields=["arrives_from", "arrives_at", "arrives_to", "leaves_at"])


def _figured(actor: Actor, run: Run) -> tuple[PlannedRun | None, list[Caution]]:
    """The run as the check times it, or the first rule that it does not keep."""
    try:
        gathered = gather(actor, [run.day], from_now=False, now=now() - A_DAY)
        outing = gathered.outing
        key = rig_key(str(run.rig_id), run.day)
        route = next((route for route in gathered.routes if route.rig == key), None)
        if route is None:
            return None, []
        out = [kept for kept in outing.out if kept.stop in route.keys]
        if out:
            return None, [Caution(code=kept.code, words=kept.words, stop_id=UUID(kept.stop)) for kept in out]
        problem = outing.problem(roads_between(outing.yard.habits, outing.places)[0])
    except DomainError as refused:
        return None, [Caution(code=refused.code, words=refused.words)]
    checked = check_route(problem, route)
    if isinstance(checked, Timed):
        verdict = Verdict(checked.cost, (), (), (checked,))
        pounds = shop_of(actor).units == "us"
        (planned,) = planned_runs(outing, problem, verdict, {key: Place(run.id)}, pounds=pounds)
        return planned, []
    stop_id = None if checked.stop is None else UUID(checked.stop)
    words = reason_words(checked.code, checked.facts) if checked.code in REASONS else "This order does not hold."
    return None, [Caution(code=checked.code, words=words, stop_id=stop_id)]
