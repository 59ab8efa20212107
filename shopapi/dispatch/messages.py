"""English sentences of dispatch."""

from collections.abc import Mapping

from shopapi.planner.messages import MESSAGES as PLANNER

MESSAGES: Mapping[str, str] = {
    # The planner is a library and not an app, so the app that uses it registers its sentences.
    **PLANNER,
    "printout_not_made": "This PDF is not made yet.",
    "plan_touches_others": "This plan changes the run of {names} too: the office takes it.",
    "office_takes_plan": "The office takes this plan.",
    "plan_outdated": "Since this was planned, {first} changed. Plan again.",
    "plan_outdated_more": "Since this was planned, {first} and {more} more changed. Plan again.",
    "run_locked": "This run is locked; unlock it first.",
    "run_shut": "This run is {state}.",
    "run_not_next": "A run that is {state} does not become {wanted}.",
    "address_missing": "{name} has no mail address here.",
    "phone_missing": "{name} has no telephone number here.",
    "yard_missing": "Say first where the yard is: runs begin and end there.",
    "rig_missing": "There is no rig to plan for; write one down first.",
    "shift_ends_first": "The shift must end after it begins.",
    "half_a_home": "Give both coordinates of its home, or neither.",
    "ramp_too_short": "A ramp must be longer than the deck is high, or it reaches no deck.",
    "break_ends_first": "The last moment a break may start must not lie before the first.",
    "window_ends_first": "This window closes before it opens; give a later end.",
    "half_a_stop": "Give both coordinates of where the machine is, or neither.",
    "wait_ends_first": "It cannot wait until a day before it may be made at all.",
    "yard_ends_first": "The yard must close after it opens.",
    "half_a_yard": "Give both coordinates of the yard, or neither.",
    "range_ends_first": "The upper end of the tongue's range must be above the lower.",
    "member_needed": "A calendar belongs to a member; sign in as one.",
    "calendar_shut": "This address can no longer be shown; open a new calendar.",
    "plan_not_done": "There is no plan to take here yet.",
    "day_twice": "Name each day once.",
    "day_to_plan_over": "A day that is over cannot be planned; take today or a later one.",
    "not_today": "Only today can be planned from where the rigs are.",
    "not_your_day": "The office plans runs. The driver of a run today may have the rest of that day planned again.",
    "plan_over": "This planning is over already.",
    "not_signed": "Nobody signed this hand-over, so it has no sheet. Hand over once more and have it signed.",
    "yard_exists": "This shop has a yard already; change that one.",
    "run_moved": "The run changed while it was figured; it is figured again.",
    "run_over": "This run is {state} here; look at what was driven, and put it on a new run.",
    "stamp_over": "This stop is {state} by now; what was stamped stays.",
    "stop_done": "This stop was done and left; look at which of the two holds.",
    "job_has_no_site": "Say where: this job has no place of its own.",
    "stop_needs_site": "A stop needs a place.",
    "stop_stays": "This stop is {state} already; it stays as it is.",
    "stop_not_taken_out": "This stop is {state}; it can no longer be taken out.",
    "order_ring": "These stops would have to come after each other in a ring; free one of them.",
    "rig_out": "{name} is not on the road; take another rig.",
    "run_exists": "{name} has a run on this day already; put the stops on that one.",
    "day_over": "This day is over; take today or a later one.",
    "interval_ends_first": "The interval must end after it begins.",
    "plan_superseded": "Something else changed meanwhile; the rest of the day is planned again with that.",
    "plan_lost": "The worker that made this plan was lost. Ask for it again.",
    "plan_unchecked": "The plan that was found did not pass the check, so it is not shown. Ask for it again.",
    # Why no rig can serve a stop even without other stops. {rig}: the one that comes closest.
    "alone_access": "No rig that goes out has all that this stop needs: {needs}.",
    "alone_access_pinned": "It is pinned to {rig}, which does not have all that this stop needs: {needs}.",
    "alone_aboard_first": "It is on the deck of {rig} now and has to come off before that is back at the shop.",
    "alone_barred": "No rig that goes out can serve this stop.",
    "alone_break": "With this stop alone, {rig} has no room left for its break.",
    "alone_daylight": "Even with nothing else to do, {rig} would not be done there before dark.",
    "alone_deck_order": "On the deck of {rig} it cannot come off when its turn comes.",
    "alone_deck_space": "It is too long or too wide for the deck of {rig}.",
    "alone_load_kg": "It weighs {load}, and {rig} may carry {most}.",
    "alone_load_cm": "It takes {load} of deck, and {rig} has {most}.",
    "alone_load_machines": "It is {load}, and {rig} has room for {most}.",
    "alone_longest": "A run of {rig} with this stop alone would last longer than it may.",
    "alone_no_rig": "No rig goes out.",
    "alone_no_rig_free": "Every rig that could serve it is on a locked run.",
    "alone_no_time": "It was not tried everywhere: the time was up. Plan again with more time.",
    "alone_not_aboard": "It is at the shop, and {rig} is on the road.",
    "alone_not_worth_it": "It can be served, but costs more than leaving it for another day is set to cost.",
    "alone_on_another_rig": "The machine is on another rig.",
    "alone_one_trip_only": "{rig} goes out once only.",
    "alone_pinned": "The rig that it is pinned to does not go out here.",
    "alone_rating": "On {rig} it would pass a rating you entered ({rating}) by {over_kg}.",
    "alone_shift": "Even with nothing else to do, {rig} would be home {late} after the end of its day.",
    "alone_straps": "It takes {needed} tie-downs, and {rig} carries {there}.",
    "alone_tongue": "No place on the deck of {rig} brings the tongue weight into its range.",
    "alone_window": "Even with nothing else to do, {rig} would be there {late} after its last time.",
    # Why a stop that a rig could serve alone does not fit with the other stops of the run that comes closest.
    "beside_access": "{rig} does not have what this stop needs: {needs}.",
    "beside_aboard_first": "What is on the deck of {rig} has to come off before it is back at the shop.",
    "beside_break": "With this stop, {rig} has no room left for its break.",
    "beside_daylight": "With what else {rig} does, this stop would not be done before dark.",
    "beside_daylight_other": "With this stop, {rig} would not be done at {other} before dark.",
    "beside_deck_order": "With this stop, no order on the deck of {rig} lets each machine off when its turn comes.",
    "beside_deck_space": "It does not fit on the deck of {rig} with what else is on it.",
    "beside_load_kg": "With what else is on that trip of {rig} it comes to {load}, and it may carry {most}.",
    "beside_load_cm": "With what else is on that trip of {rig} it takes {load} of deck, and there is {most}.",
    "beside_load_machines": "With what else is on that trip of {rig} it makes {load}, and there is room for {most}.",
    "beside_longest": "With this stop the run of {rig} would last longer than it may.",
    "beside_order": "It has to come after {after} on the same run.",
    "beside_pinned": "It is pinned to another rig.",
    "beside_rating": (
        "With what else is on that trip of {rig} it would pass a rating you entered ({rating}) by {over_kg}."
    ),
    "beside_shift": "With this stop, {rig} would be home {late} after the end of its day.",
    "beside_straps": "With what else is on that trip {needed} tie-downs are needed, and {rig} carries {there}.",
    "beside_tongue": (
        "With what else is on that trip of {rig} no place on the deck brings the tongue weight into its range."
    ),
    "beside_window": "With what else {rig} does, it would be there {late} after its last time.",
    "beside_window_other": "With this stop, {rig} would be at {other} {late} after its last time.",
    # Why a stop is excluded before the search.
    "machine_stranded": "{job}: its machine is on {rig}, which broke down. It can go back once it was fetched.",
    "job_not_ready": "{job} is in {stage}; its machine can go back once the job is ready.",
    "pinned_to_broken_rig": "It is pinned to {rig}, which is broken down.",
    "pinned_to_day": "It is pinned to {weekday}, {month} {day}.",
    "not_before_day": "It may not be made before {weekday}, {month} {day}.",
    "next_times_on_day": "Its next times are on {weekday}, {month} {day}.",
    "times_over_since_day": "Its times are over; the last was on {weekday}, {month} {day}. Ask for another.",
    "no_daylight_left": "On these days no daylight is left for it in its times.",
    "no_time_on_these_days": "None of its times lies on a day that is planned here.",
    # Cautions about a run. The figures follow from what was entered: check local law and the maker's manual.
    "caution_rating_passed": (
        "Past the rating you entered ({rating}) by {over}. Take something off; weigh it if in doubt."
    ),
    "caution_rating_near": "Only {left} left to the rating you entered ({rating}). Weigh it if in doubt.",
    "caution_tongue_lifts": "The load lifts the truck's rear. Move it forward before you move off.",
    "caution_tongue_light": (
        "Tongue weight {share} of the trailer: below the range you set. Trailers sway when it is light."
    ),
    "caution_tongue_heavy": "Tongue weight {share} of the trailer: above the range you set.",
    "caution_side_offset": "The load's middle is {side} off the middle line. Check the tires of that side.",
    "caution_ramp_steep": (
        "{stop}: The ramp has an angle of {degrees}, steeper than the {steepest} you set. It takes {needed} of ramp."
    ),
    "caution_belly_low": "{stop}: The machine may hang up at the top edge of the ramp.",
    "caution_tie_downs": "The fullest leg takes {needed} tie-downs; the rig carries {there}. Check local rules.",
    "caution_tie_downs_few": "The fullest leg takes {needed} tie-downs; the rig carries only {there}.",
    "caution_tie_downs_unknown": "The fullest leg takes {needed} tie-downs. How many the rig carries is not entered.",
    "caution_tie_downs_hold": (
        "By the limits you entered its tie-downs hold {hold} together; half the heaviest load is {half}."
    ),
    "caution_tie_downs_weak": (
        "By the limits you entered the tie-downs hold only {hold} together; half the load is {half}."
    ),
    "caution_still_aboard": (
        "{stop}: not handed over and still on the deck. Shift it to the front before the next one comes off."
    ),
    "caution_tight": (
        "{stop}: it may be reached after its last time more often than once in five. Tell them, or leave it more time."
    ),
    "caution_position_rough": (
        "{stop}: its place is only known within {within}, and its times are as much less sure. Correct the place."
    ),
    "caution_check_again": "Check straps, chains and tires again within the first 50 miles (80 km).",
    "caution_size_unknown": (
        "{stop}: weight or length is not entered. It is in no figure of deck, tongue and ratings here,"
        " and nothing is checked for it."
    ),
    "caution_no_trailer": "No trailer is entered, so nothing here says what the load does to tongue and axles.",
    "caution_trailer_unknown": (
        "The trailer's figures are not entered, so nothing here says what the load does to tongue and axles."
    ),
    "moved_by_hand": "Moved by hand since it was figured.",
    # Remarks about a whole plan.
    "plan_own_day": "Only the driver's own run was planned again. What else is asked for waits for the office.",
    "roads_unusable": "The travel time service could not be used ({why}); times are estimated from the shop's speeds.",
    "roads_missing": "The service for travel times knows no road from {one} to {other}; there times are estimated.",
    "roads_missing_more": (
        "The service for travel times knows no road from {one} to {other} and {more} pairs more;"
        " there times are estimated."
    ),
    "deck": "Deck from above, {count} loaded, {weight} in all",
    "deck_loaded": "Deck from above, {count} loaded, {weight} in all. From the front of the deck: {machines}",
    "deck_partly": (
        "Deck from above, {count} of {all} aboard, {weight} without the rest. Without weight or length, so not counted"
        " and not checked: {missing}. From the front of the deck: {machines}"
    ),
    "machine_on_deck": "{name}, {weight}, at {front}",
    # Parts of the sentences above.
    "the_yard": "The yard",
    "home_of_rig": "home of {rig}",
    "changed_yard": "the yard",
    "changed_run": "the run of {rig}",
    "changed_pickup": "the pickup of {stop}",
    "changed_return": "the return of {stop}",
    "changed_visit": "the visit of {stop}",
    "changed_something": "something in it",
    "a_rig": "a rig",
    "service_silent": "it does not answer",
    "service_answered_status": "it answered {status}",
    "service_answer_too_long": "its answer is too long",
    "service_answer_too_slow": "its answer takes too long",
    "rig_on_weekday": "{name} on {weekday}",
    "one_machine": "1 machine",
    "several_machines": "{count} machines",
    "another_stop": "another stop",
    "the_rig": "the rig",
    "machines.between": "; ",
    "missing.between": ", ",
    "needs.winch": "winch",
    "needs.ramp": "ramp",
    "needs.two_people": "two people",
    # The ratings of truck and trailer.
    "rating_trailer_gvwr": "trailer GVWR",
    "rating_trailer_axle": "trailer axle, GAWR",
    "rating_tires": "trailer tires",
    "rating_coupler": "coupler",
    "rating_truck_gvwr": "truck GVWR",
    "rating_gcwr": "GCWR",
    "rating_hitch": "hitch",
    "rating_hitch_tongue": "hitch, tongue weight",
    "rating_ball": "ball",
    "rating_truck_rear_axle": "truck rear axle, GAWR",
}
