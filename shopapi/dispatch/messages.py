"""English sentences of dispatch."""

from collections.abc import Mapping

from shopapi.planner.messages import MESSAGES as PLANNER

# What a customer reads at the link of a ticket that cannot be shown.
MESSAGES: Mapping[str, str] = {
    # The planner is a library and not an app, so the app that uses it registers its sentences.
    **PLANNER,
    "printout_not_made": "This PDF isn't made yet.",
    "plan_touches_others": "This plan changes the run of {names} too, so the office has to accept it.",
    "office_takes_plan": "The office has to accept this plan.",
    "plan_outdated": "Since this was planned, {first} changed. Plan again.",
    "plan_outdated_more": "Since this was planned, {first} and {more} more changed. Plan again.",
    "run_locked": "This run is locked; unlock it first.",
    "run_shut": "This run is {state}.",
    "run_not_next": "This run is {state}, so it can't be {wanted}.",
    "address_missing": "No email on file for {name}.",
    "phone_missing": "No phone number on file for {name}.",
    "yard_missing": "Set the yard first: runs start and end there.",
    "rig_missing": "There is no rig to plan for; add one first.",
    "shift_ends_first": "The shift must end after it begins.",
    "half_a_home": "Enter both coordinates of its home, or neither.",
    "ramp_too_short": "The ramp must be longer than the deck height.",
    "break_ends_first": "Latest start is before earliest start.",
    "window_ends_first": "This time ends before it starts. Enter a later end.",
    "half_a_stop": "Enter both coordinates of where the machine is, or neither.",
    "wait_ends_first": "“Can wait until” is before “Not before”.",
    "yard_ends_first": "The yard must close after it opens.",
    "half_a_yard": "Enter both coordinates of the yard, or neither.",
    "range_ends_first": "The upper end of the tongue's range must be above the lower.",
    "member_needed": "A calendar belongs to a member; sign in as one.",
    "calendar_shut": "This link can no longer be shown; make a new one.",
    "plan_not_done": "There is no plan to use yet.",
    "day_twice": "List each day once.",
    "day_to_plan_over": "A past day can't be planned; pick today or later.",
    "not_today": "Only today can be planned from where the rigs are.",
    "not_your_day": "The office plans runs. Today's driver can have the rest of the day re-planned.",
    "plan_over": "This planning is already over.",
    "not_signed": "Nobody signed this hand-over, so it has no sheet. Hand over again and have it signed.",
    "yard_exists": "This shop already has a yard; edit that one.",
    "run_moved": "The run changed while it was being calculated; it's being calculated again.",
    "run_over": "This run is already {state}; check what was driven, and put it on a new run.",
    "stamp_over": "This stop is already {state}; what was recorded stays.",
    "stop_done": "This stop was done and left; check which of the two is right.",
    "job_has_no_site": "Enter a place: this job has none of its own.",
    "stop_needs_site": "A stop needs a place.",
    "stop_stays": "This stop is already {state}, so it can't be changed.",
    "stop_not_taken_out": "This stop is {state}; it can no longer be cancelled.",
    "order_ring": "These stops are each set to come after the other; clear one of them.",
    "rig_out": "{name} is not in service; use another rig.",
    "run_exists": "{name} already has a run on this day; put the stops on that one.",
    "day_over": "This day is over; pick today or later.",
    "interval_ends_first": "The interval must end after it begins.",
    "plan_superseded": "Something else changed; the rest of the day is being re-planned with that.",
    "plan_lost": "The worker that made this plan was lost. Ask for it again.",
    "plan_unchecked": "The plan that was found did not pass the check, so it is not shown. Ask for it again.",
    # Why no rig can serve a stop even without other stops. {rig}: the one that comes closest.
    "alone_access": "No rig that goes out has all that this stop needs: {needs}.",
    "alone_access_pinned": "It is pinned to {rig}, which does not have all that this stop needs: {needs}.",
    "alone_aboard_first": "It's on the deck of {rig} now and has to come off before {rig} is back at the shop.",
    "alone_barred": "No rig that goes out can serve this stop.",
    "alone_break": "Even with only this stop, {rig} has no time left for the break.",
    "alone_daylight": "Even with nothing else to do, {rig} would not be done there before dark.",
    "alone_deck_order": "It would be blocked on the deck of {rig} when it has to come off.",
    "alone_deck_space": "It is too long or too wide for the deck of {rig}.",
    "alone_load_kg": "It weighs {load}; the payload of {rig} is {most}.",
    "alone_load_cm": "It needs {load} of deck; {rig} has {most}.",
    "alone_load_machines": "It is {load}, and {rig} has room for {most}.",
    "alone_longest": "Even with only this stop, the run of {rig} would be too long.",
    "alone_no_rig": "No rig goes out.",
    "alone_no_rig_free": "Every rig that could serve it is on a locked run.",
    "alone_no_time": "Ran out of planning time. Plan again.",
    "alone_not_aboard": "It's at the shop, and {rig} is on the road.",
    "alone_not_worth_it": "It fits, but leaving it for another day costs less.",
    "alone_on_another_rig": "The machine is on another rig.",
    "alone_one_trip_only": "{rig} makes only one trip.",
    "alone_pinned": "The rig that it is pinned to does not go out here.",
    "alone_rating": "On {rig} it would be over the {rating} rating by {over_kg}.",
    "alone_shift": "Even with nothing else to do, {rig} would be back {late} after the end of its day.",
    "alone_straps": "It needs {needed} tie-downs; {rig} carries {there}.",
    "alone_tongue": "No position on the deck of {rig} brings the tongue weight into your range.",
    "alone_window": "Even with nothing else to do, {rig} would get there {late} too late.",
    # Why a stop that a rig could serve alone does not fit with the other stops of the run that comes closest.
    "beside_access": "{rig} does not have what this stop needs: {needs}.",
    "beside_aboard_first": "What's on the deck of {rig} has to come off before it is back at the shop.",
    "beside_break": "With this stop, {rig} has no time left for the break.",
    "beside_daylight": "With its other stops, {rig} would not be done here before dark.",
    "beside_daylight_other": "With this stop, {rig} would not be done at {other} before dark.",
    "beside_deck_order": "With this stop, one machine would block another on the deck of {rig}.",
    "beside_deck_space": "It does not fit on the deck of {rig} with what else is on it.",
    "beside_load_kg": "With the rest of that trip, {rig} would carry {load}; its payload is {most}.",
    "beside_load_cm": "With the rest of that trip, {rig} would need {load} of deck; it has {most}.",
    "beside_load_machines": "With the rest of that trip, {rig} would carry {load}; it has room for {most}.",
    "beside_longest": "With this stop, the run of {rig} would be too long.",
    "beside_order": "It has to come after {after} on the same run.",
    "beside_pinned": "It is pinned to another rig.",
    "beside_rating": ("With the rest of that trip, {rig} would be over the {rating} rating by {over_kg}."),
    "beside_shift": "With this stop, {rig} would be back {late} after the end of its day.",
    "beside_straps": "With the rest of that trip, {needed} tie-downs are needed; {rig} carries {there}.",
    "beside_tongue": (
        "With the rest of that trip, no position on the deck of {rig} brings the tongue weight into your range."
    ),
    "beside_window": "With its other stops, {rig} would get there {late} too late.",
    "beside_window_other": "With this stop, {rig} would get to {other} {late} too late.",
    # Why a stop is excluded before the search.
    "machine_stranded": "{job}: its machine is on {rig}, which broke down. It can go back once it has been picked up.",
    "job_not_ready": "{job} is at “{stage}”; its machine can go back once the job is ready.",
    "pinned_to_broken_rig": "It is pinned to {rig}, which is broken down.",
    "pinned_to_day": "It is pinned to {weekday}, {month} {day}.",
    "not_before_day": "Not before {weekday}, {month} {day}.",
    "next_times_on_day": "Its next times are on {weekday}, {month} {day}.",
    "times_over_since_day": "Its times have passed (last {weekday}, {month} {day}). Set new ones.",
    "no_daylight_left": "No daylight left in its times on these days.",
    "no_time_on_these_days": "None of its times is on a day planned here.",
    # Cautions about a run. The figures follow from what was entered: check local law and the maker's manual.
    "caution_rating_passed": ("OVER the {rating} rating by {over}. Take something off. If in doubt, weigh it."),
    "caution_rating_near": "Only {left} under the {rating} rating. If in doubt, weigh it.",
    "caution_tongue_lifts": "Too much weight at the back: it lifts the hitch. Move the load forward before you drive.",
    "caution_tongue_light": (
        "Tongue weight {share} of the trailer: below your range. A light tongue makes the trailer sway. Move the load"
        " forward."
    ),
    "caution_tongue_heavy": "Tongue weight {share} of the trailer: above your range. Move the load back.",
    "caution_side_offset": "Load is {side} off center. Center it, and check the tires on that side.",
    "caution_ramp_steep": (
        "{stop}: Ramp angle {degrees} is over your {steepest} limit. You need a ramp at least {needed} long."
    ),
    "caution_belly_low": "{stop}: The machine may hang up at the top edge of the ramp.",
    "caution_tie_downs": "The fullest leg needs {needed} tie-downs; the rig carries {there}. Check local rules.",
    "caution_tie_downs_few": "The fullest leg needs {needed} tie-downs; the rig carries only {there}.",
    "caution_tie_downs_unknown": "The fullest leg needs {needed} tie-downs. How many the rig carries isn't entered.",
    "caution_tie_downs_hold": (
        "By the limits you entered, its tie-downs are rated {hold} together; the heaviest load needs {half} (half of"
        " it)."
    ),
    "caution_tie_downs_weak": (
        "By the limits you entered, the tie-downs are rated only {hold} together; they need at least {half} (half the"
        " load)."
    ),
    "caution_still_aboard": (
        "{stop}: not handed over and still on the deck. Move it to the front before the next one comes off."
    ),
    "caution_tight": (
        "{stop}: more than a one in five chance of getting there too late. Tell them, or leave more time."
    ),
    "caution_position_rough": (
        "{stop}: its place is only known within {within}, and its times are as much less sure. Correct the place."
    ),
    # 49 CFR 392.9(b)(2): within the first 50 miles.
    "caution_check_again": "Check straps, chains and tires again within the first 50 miles (80 km).",
    "caution_size_unknown": (
        "{stop}: weight or length is missing, so its loading was NOT checked: not the deck, the tongue or any rating."
    ),
    "caution_no_trailer": "No trailer is entered, so tongue and axles were NOT checked.",
    "caution_trailer_unknown": ("The trailer's figures are missing, so tongue and axles were NOT checked."),
    "moved_by_hand": "Moved by hand since it was calculated.",
    "place_moved": "The place of a stop was corrected since this was calculated.",
    # Remarks about a whole plan.
    "plan_own_day": "Only the driver's own run was re-planned. Everything else waits for the office.",
    "roads_unusable": "The map service couldn't be used ({why}); travel times are the shop's own estimate.",
    "roads_missing": ("The map service knows no road from {one} to {other}; the shop's own estimate is used there."),
    "roads_missing_more": (
        "The map service knows no road from {one} to {other} and {more} more pairs;"
        " the shop's own estimate is used there."
    ),
    "deck": "Deck from above, {count} loaded, {weight} total",
    "deck_loaded": "Deck from above, {count} loaded, {weight} total. Front to back: {machines}",
    "deck_partly": (
        "Deck from above, {count} of {all} on board, {weight} without the rest. Weight or length missing, so not"
        " counted and NOT checked: {missing}. Front to back: {machines}"
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
    "changed_fetch": "the stop at {stop}",
    "stop_without_customer": "No customer waits at this stop: parts are fetched there.",
    "stop_without_machine": "There is no machine at this stop: parts are fetched there.",
    "supplier_stop_has_no_site": "Parts are fetched at the supplier; leave the site empty.",
    "changed_something": "something in it",
    "a_rig": "a rig",
    "service_silent": "it didn't answer",
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
    # The states of runs and stops as screens call them.
    "state.asked": "not planned yet",
    "state.planned": "planned",
    "state.locked": "locked",
    "state.driving": "on the road",
    "state.arrived": "on site",
    "state.left": "done",
    "state.failed": "not done",
    "state.dropped": "cancelled",
    "state.done": "finished",
    "state.cancelled": "cancelled",
    "wanted.planned": "unlocked",
    "wanted.locked": "locked",
    "wanted.driving": "started",
    "wanted.done": "finished",
    "wanted.cancelled": "cancelled",
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
