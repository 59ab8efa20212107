"""Why stops are left out of a plan: the planner's codes and figures with names, in the shop's units."""

from collections.abc import Mapping, Sequence
from math import ceil
from uuid import UUID

from shopapi.core.errors import Context, ContextValue, Reason
from shopapi.core.units import CM_AN_INCH, KG_A_POUND
from shopapi.dispatch.messages import MESSAGES
from shopapi.dispatch.rules.figures import weight_text
from shopapi.dispatch.rules.planning_model import PlanningModel, rig_key
from shopapi.dispatch.rules.schemas.plan import LeftOutRow
from shopapi.planner.problem import Facts, LeftOut

# The units of the planner's load dimensions, in their order.
DIMENSIONS = ("kg", "cm", "machines")
Names = Mapping[str, str | Reason]


def left_out_rows(planning_model: PlanningModel, left: Sequence[LeftOut], *, pounds: bool) -> list[LeftOutRow]:
    """Every stop that no run serves and why; first those that were excluded before the search."""
    kept = [LeftOutRow.because(one.code, one.reason, stop_id=UUID(one.stop)) for one in planning_model.excluded]
    names = names_of(planning_model)
    return kept + [
        LeftOutRow.because(
            one.code,
            rule_reason(one.code, one.facts, names, pounds=pounds),
            stop_id=UUID(one.stop),
        )
        for one in left
    ]


def names_of(planning_model: PlanningModel) -> dict[str, str | Reason]:
    """Names of the problem's rigs and stops by key; a rig's name includes its day where several days are planned."""
    one_day = len(planning_model.days) == 1
    rigs = {
        rig_key(rig.key, day): rig.name
        if one_day
        else Reason("rig_on_weekday", {"name": rig.name, "weekday": day.weekday()})
        for rig in planning_model.rigs
        for day in planning_model.days
    }
    return rigs | {stop.key: stop.label for stop in planning_model.stops}


def rule_reason(code: str, facts: Facts, names: Names, *, pounds: bool) -> Reason:
    """The reason why a rule of the planner fails, with names and figures in the shop's units."""
    context = _context(code, facts, names, pounds=pounds)
    if code == "load":
        code = f"load_{DIMENSIONS[int(float(facts['dimension']))]}"
    if "alone" in facts:
        return Reason(f"alone_{'access_pinned' if code == 'access' and facts.get('pinned') else code}", context)
    if "other" in facts and f"beside_{code}_other" in MESSAGES:
        code = f"{code}_other"
    return Reason(f"beside_{code}" if f"beside_{code}" in MESSAGES else f"alone_{code}", context)


def _context(code: str, facts: Facts, names: Names, *, pounds: bool) -> Context:
    found: dict[str, ContextValue] = {}
    for name, value in facts.items():
        if name in {"rig", "other", "after"}:
            found[name] = names.get(str(value), Reason("the_rig" if name == "rig" else "another_stop"))
        elif name == "late":
            found[name] = _duration_text(float(value))
        elif name == "over_kg":
            found[name] = weight_text(float(value), pounds=pounds)
        elif name == "rating":
            found[name] = Reason(f"rating_{value}")
        elif name == "needs":
            found[name] = str(value).split(", ")
        elif name not in {"alone", "pinned", "dimension", "load", "most"}:
            found[name] = str(value)
    return found | _load_context(facts, pounds=pounds) if code == "load" else found


def _load_context(facts: Facts, *, pounds: bool) -> dict[str, ContextValue]:
    """A load and its limit, with enough digits that a load above the limit also reads as more."""
    dimension = DIMENSIONS[int(float(facts["dimension"]))]
    load, most = float(facts["load"]), float(facts["most"])
    if dimension == "machines":
        return {"load": _machines(round(load)), "most": _machines(round(most))}
    each, unit = 1.0, dimension
    if pounds:
        each, unit = (float(KG_A_POUND), "lb") if dimension == "kg" else (float(CM_AN_INCH), "in")
    places = next(places for places in (0, 1, 2, 3, 6) if round(load / each, places) > round(most / each, places))
    return {"load": f"{load / each:,.{places}f} {unit}", "most": f"{most / each:,.{places}f} {unit}"}


def _machines(count: int) -> Reason:
    return Reason("one_machine") if count == 1 else Reason("several_machines", {"count": count})


def _duration_text(seconds: float) -> str:
    hours, minutes = divmod(ceil(seconds / 60), 60)
    return " ".join([f"{hours} h"] * bool(hours) + [f"{minutes} min"] * bool(minutes))
