"""Cautions about a loaded rig at rest: codes with figures, for screen and run sheet. None of them is an approval."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from shopapi.dispatch.rules.schemas.run import LoadCautionCode
from shopapi.planner.loading.ramp import RampCheck
from shopapi.planner.loading.stowage import TOLERANCE_KG, TOLERANCE_SHARE, TowLoads, Trailer
from shopapi.planner.loading.tie_downs import TieDownCheck

# A caution is shown when less than this share of a rating is left, or the load is off centre by more than this share
# of the track. Both shares are our own choice, no source.
NEAR = 0.05
ASIDE = 0.05


@dataclass(frozen=True)
class LoadCaution:
    """A message code (`caution_…`) with its values. Weights in kilograms, lengths in centimetres."""

    code: LoadCautionCode
    facts: Mapping[str, float | str]


def towing_cautions(trailer: Trailer, tow_loads: TowLoads, *, loaded: bool) -> Iterator[LoadCaution]:
    """Cautions about ratings, tongue weight and side offset. The tongue weight of an empty trailer is not checked."""
    for margin in tow_loads.margins:
        if margin.kg < -TOLERANCE_KG:
            yield LoadCaution("rating_passed", {"rating": margin.rating, "over": -margin.kg})
    smallest = tow_loads.smallest
    if smallest is not None and -TOLERANCE_KG <= smallest.kg < NEAR * smallest.limit_kg:
        yield LoadCaution("rating_near", {"rating": smallest.rating, "left": max(0.0, smallest.kg)})
    if tow_loads.tongue_kg < 0:
        yield LoadCaution("tongue_lifts", {"tongue": tow_loads.tongue_kg})
    elif loaded and tow_loads.tongue_share < trailer.tongue_low - TOLERANCE_SHARE:
        yield LoadCaution("tongue_light", {"share": tow_loads.tongue_share})
    elif loaded and tow_loads.tongue_share > trailer.tongue_high + TOLERANCE_SHARE:
        yield LoadCaution("tongue_heavy", {"share": tow_loads.tongue_share})
    if loaded and abs(tow_loads.side_cm) > ASIDE * trailer.track_cm:
        yield LoadCaution("side_offset", {"side": tow_loads.side_cm})


def ramp_cautions(check: RampCheck, *, steepest: float) -> Iterator[LoadCaution]:
    if not check.within:
        yield LoadCaution("ramp_steep", {"degrees": check.degrees, "steepest": steepest, "needed": check.needed_cm})
    if check.clears is False:
        yield LoadCaution("belly_low", {"degrees": check.degrees})


def tie_down_cautions(check: TieDownCheck, *, strength_known: bool) -> Iterator[LoadCaution]:
    """Tie-downs: how many the fullest leg needs against those carried, and their strength where entered."""
    count = {"needed": check.needed, "there": check.there}
    yield LoadCaution("tie_downs_few" if check.there < check.needed else "tie_downs", count)
    if strength_known:
        facts = {"half": float(check.needed_kg), "hold": float(check.there_kg)}
        yield LoadCaution("tie_downs_weak" if check.there_kg < check.needed_kg else "tie_downs_hold", facts)
