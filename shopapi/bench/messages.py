"""English sentences of the bench."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    # Of the inputs of a calculator; the phone says the same.
    "adapter_too_long": "Turned back like this, the adapter is too long for that wrench. Check lengths and angle.",
    "choice_unknown": "Choose one from the list.",
    "figure_improbable": "This figure can't be right. Check it and its unit.",
    "grade_misfit": "Threads of this kind have other grades. Choose one that goes with the thread.",
    "held_above_supplied": "The cylinder can't hold more than what goes in. Check both gauges.",
    "input_missing": "Enter this.",
    "labels_not_made": "This PDF isn't made yet.",
    "not_above_zero": "Enter a figure above zero.",
    "number_unreadable": "Enter a plain number, such as 12.5.",
    "unit_misfit": "This unit measures something else. Choose one that fits.",
    "check_list_in_use": "This check list is in use.",
    "blades_of_measuring_gauge": "Only a gauge that goes in or doesn't has blades.",
    "blades_upside_down": "The blade that stops has to be larger than the one that goes in.",
    "reading_empty": "Enter what you read, or the blades.",
    "reading_twice": "Enter a reading or blades, not both.",
    "uncertainty_zero": "Enter how sure the gauge is: more than zero.",
    "units_do_not_fit": "{unit} and {other} don't measure the same thing. Choose units that fit.",
    "item_twice": "This item is in the list twice.",
    # Of a circuit and what is seen on it.
    "circuit_without_switch": (
        "No switch is in either chain, so there is nothing to test. Add one to a way and say which control works it."
    ),
    "circuit_in_use": "Something was observed on this circuit, so it can't be deleted.",
    "circuit_of_another_machine": "This circuit belongs to another machine than the job.",
    "measured_where": "A voltage and a continuity name the part where they were measured; nothing else does.",
    "more_than_tries": "There can't be more than {tries}, the number of tries.",
    "no_such_observation": "There is no such observation on this job and circuit to withdraw.",
    "part_twice": "Two parts have the same key.",
    "part_unknown": "A way names a part that is not in the list of parts.",
    "more_good_than_tries": "There can't be more good ones than tries.",
    "negative_value": "This can't be less than zero.",
    "unit_does_not_fit": "“{unit}” is not a unit for this test.",
    # Taking apart and putting back.
    "behind_another_job": "Choose another step of the same job.",
    "fastener_in_use": "Something was recorded about these fasteners already, so they can't be deleted.",
    "fasteners.between": "; ",
    "no_fastener_moved": "Enter how many: at least 1.",
    "removal_step_in_use": (
        "Another step, a rule or a record of its fasteners refers to this step, so it can't be deleted."
    ),
    "rule_about_one_step": "Choose two different steps.",
    "rule_of_another_job": "This step belongs to another job.",
    "torque_open": (
        "Not ready for testing: these fasteners must be back and tightened to their torque: {fasteners}."
        " Record it under “Put back”."
    ),
    "torque_unit_missing": "Enter the unit of the torque: N·m, lbf·ft or lbf·in.",
}
