"""Spanish sentences of quotes that a customer may read on the page behind a link; the others are read by members."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "too_many_link_tries": ("Demasiados intentos. Espere cinco minutos e inténtelo de nuevo, o llame al taller."),
    "link_answered": "Usted ya respondió; su respuesta quedó guardada.",
    "link_taken_back": "El taller retiró esta solicitud. Si esperaba responderla, llame al taller.",
    "link_replaced": "El taller cambió esta cotización. Esta versión ya no es válida.",
    "link_decided": "Esto ya se respondió, en el taller o por teléfono.",
    "link_withdrawn": "El taller retiró esta cotización.",
    "link_ended": "Esta cotización venció. Llame al taller si todavía quiere el trabajo.",
    "lines_differ": "Elija sí o no en cada punto.",
}
