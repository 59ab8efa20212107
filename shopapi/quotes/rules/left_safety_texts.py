"""What customers read of safety findings that were left unrepaired, in each language (`core.languages`)."""

from collections.abc import Mapping

from shopapi.core.languages import Language, Texts

_ENGLISH: Mapping[str, str] = {
    "recommended": "We recommended the repair.",
    "condition_not_working": "not working",
    "condition_bypassed": "bypassed",
    "condition_missing": "missing",
    "device_seat_switch": "Seat switch",
    "device_brake_switch": "Brake or clutch pedal switch",
    "device_blade_switch": "Blade switch",
    "device_reverse_switch": "Reverse switch",
    "device_stop_switch": "Stop or key switch",
    "device_hold_to_run_handle": "Hold-to-run handle",
    "device_blade_brake": "Blade brake",
    "device_parking_brake": "Parking brake",
    "device_guards_and_chute": "Guards and chute",
    "device_roll_bar_and_belt": "Roll bar and seat belt",
    "told": "Told",
    "told_in_person": "in person",
    "told_call": "on the phone",
    "told_writing": "in writing",
}
_SPANISH: Mapping[str, str] = {
    "recommended": "Recomendamos la reparación.",
    "condition_not_working": "no funciona",
    "condition_bypassed": "con anulación",
    "condition_missing": "falta",
    "device_seat_switch": "Interruptor del asiento",
    "device_brake_switch": "Interruptor del pedal de freno o embrague",
    "device_blade_switch": "Interruptor de las cuchillas",
    "device_reverse_switch": "Interruptor de marcha atrás",
    "device_stop_switch": "Interruptor de apagado o de llave",
    "device_hold_to_run_handle": "Manija de presencia del operador",
    "device_blade_brake": "Freno de la cuchilla",
    "device_parking_brake": "Freno de estacionamiento",
    "device_guards_and_chute": "Guardas y ducto de descarga",
    "device_roll_bar_and_belt": "Barra antivuelco y cinturón",
    "told": "Informado",
    "told_in_person": "en persona",
    "told_call": "por teléfono",
    "told_writing": "por escrito",
}
TEXTS: Mapping[Language, Texts] = {"en": Texts("en", _ENGLISH), "es": Texts("es", _SPANISH)}
