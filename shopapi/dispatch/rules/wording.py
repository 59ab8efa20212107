"""Why a stop stays out, and what to mind about a load, in plain words by code. Braces are filled from the facts."""

REASONS = {
    "access": "No rig that goes out has what this stop needs ({needs}).",
    "aboard_first": "It stands on the deck now and has to come off before the rig is back at the shop.",
    "barred": "No rig that goes out can serve this stop.",
    "break": "There is no room left for the break.",
    "daylight": "The work would not be over before dark.",
    "deck_order": "On the deck it would stand in the way of another machine, or another in its way.",
    "deck_space": "It does not fit on the deck with what else is on it.",
    "load": "It is more than the rig may carry: {load} of at most {most}.",
    "longest": "The run would last longer than it may.",
    "no_rig": "No rig goes out.",
    "no_rig_free": "Every rig that could serve it is on a locked run.",
    "no_time": "It was not tried everywhere: the time was up. Plan again with more time.",
    "not_aboard": "It stands at the shop, and the rig is on the road.",
    "not_worth_it": "It can be served, but costs more than leaving it for another day is set to cost.",
    "on_another_rig": "The machine stands on another rig.",
    "one_trip_only": "The rig goes out once only.",
    "order": "It has to come after another stop of the same run.",
    "pinned": "It is pinned to another rig.",
    "rating": "The load would pass a rating of the rig ({rating}) by {over_kg} kg.",
    "shift": "The rig would come home after the end of its shift.",
    "straps": "The rig has too few tie-downs: {needed} are needed, {there} are there.",
    "tongue": "No place on the deck brings the tongue weight into its range.",
    "window": "It cannot be reached while it is open.",
}

# The same rules where the stop holds by itself and fails only with what else is on the trip.
BESIDE_OTHERS = {
    "load": "With what else is on that trip it is more than the rig may carry: {load} of at most {most}.",
    "rating": "With what else is on that trip the load would pass a rating of the rig ({rating}) by {over_kg} kg.",
    "straps": "With what else is on that trip the rig has too few tie-downs: {needed} are needed, {there} are there.",
    "tongue": "With what else is on that trip no place on the deck brings the tongue weight into its range.",
}

CAUTIONS = {
    "rating_passed": "Past the rating you entered ({rating}) by {over}. Take something off; weigh it if in doubt.",
    "rating_near": "Only {left} left to the rating you entered ({rating}). Weigh it if in doubt.",
    "tongue_lifts": "The load lifts the truck's rear. Move it forward before you move off.",
    "tongue_light": "Tongue weight {share} of the trailer: below the range you set. Trailers sway when it is light.",
    "tongue_heavy": "Tongue weight {share} of the trailer: above the range you set.",
    "side_offset": "The load's middle is {side} off the middle line. Check the tires of that side.",
    "ramp_steep": "The ramp stands at {degrees}, steeper than the {steepest} you set. It takes {needed} of ramp.",
    "belly_low": "The machine may hang up at the top edge of the ramp.",
    "tie_downs_few": "{needed} tie-downs are good practice here, {there} are there.",
    "tie_downs_weak": "The tie-downs hold {there_pounds} lb together; half the weight is {needed_pounds} lb.",
    "still_aboard": "not handed over and still on the deck. Shift it to the front before the next one comes off.",
    "check_again": "Check straps, chains and tires again within the first 50 miles (80 km).",
}
"""The figures are reckoned from what was entered. Check local law and the maker's book."""
