"""What to mind about one standing load: codes with their figures, for screen and run sheet. Nothing here says yes."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from shopapi.dispatch.rules.schemas.run import LoadCautionCode
from shopapi.planner.loading.ramp import RampCheck
from shopapi.planner.loading.stowage import TOLERANCE_KG, TOLERANCE_SHARE, TowLoads, Trailer
from shopapi.planner.loading.tie_downs import TieDownCheck

# Below this share of a rating what is left is called little; past this share of the track the load stands aside.
NEAR = 0.05
ASIDE = 0.05


@dataclass(frozen=True)
class LoadCaution:
    """A code of the catalog (`caution_…`) with what fills it. Weights are kilograms, lengths centimetres."""

    code: LoadCautionCode
    facts: Mapping[str, float | str]


def towing_cautions(trailer: Trailer, tow_loads: TowLoads, *, loaded: bool) -> Iterator[LoadCaution]:
    """About ratings, tongue and sides. An empty trailer's tongue is its maker's business."""
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
    """What a rig carries beside what its fullest leg needs, in number and, where it was entered, in strength."""
    count = {"needed": check.needed, "there": check.there}
    yield LoadCaution("tie_downs_few" if check.there < check.needed else "tie_downs", count)
    if strength_known:
        facts = {"half": float(check.needed_kg), "hold": float(check.there_kg)}
        yield LoadCaution("tie_downs_weak" if check.there_kg < check.needed_kg else "tie_downs_hold", facts)
