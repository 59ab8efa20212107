"""English sentences of planner."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "position_missing": "{name} has no position yet. Tap it on the map, paste coordinates, or set it when there.",
    "position_far": "{name} is {kilometres} km from the shop. Check its position for a typo.",
    "id_twice": "Two clients have the same id. Give each its own.",
    "vehicle_missing": "Give one vehicle at least.",
    "span_reversed": "This ends before it begins. Correct the two figures.",
    "dimensions_differ": "Give {dimensions} figures here, as many as the first vehicle's capacity has.",
    "matrix_size": "Give a matrix of {size} rows of {size} figures: the depot, then the clients in order.",
    "service_answer_no_table": "the service answered with no table",
    "service_between_nothing": "it has nothing between {one} and {other}",
    "service_table_rows": "its {table} are not {size} rows",
    "service_table_width": "its {table} are not {size} figures a row",
    "service_table_figure": "its {table} hold {figure}",
    "position_unreadable": (
        'Enter latitude and longitude in degrees, such as "40.71280, -74.00600", or paste a geo: link.'
    ),
}
