"""Spanish of the United States: what customers read of quotes. Formal ("usted"), in the words of a repair shop."""

from collections.abc import Mapping

PAPER: Mapping[str, str] = {
    "quote": "Cotización",
    "quote_added": "Cotización de trabajo adicional",
    "title": "{name} {number}",
    "title_revision": "{name} {number}, revisión {revision}",
    "foot_code": "código del documento {code}",
    "document_code": "Código del documento",
    "aside_draft": "Borrador; todavía no es una cotización.",
    "aside_lapsed": "Venció el {until}.",
    "aside_replaced": "Reemplazada por una revisión posterior.",
    "aside_withdrawn": "Retirada por el taller.",
    "aside_mark": "Número provisional; después se le dará el definitivo.",
    "good_until": "Válida hasta el",
    "quoted": "Fecha",
    "job": "Orden de trabajo",
    "revision": "Revisión",
    "for": "Para",
    "machine": "Máquina",
    "machine_location": "Dónde está la máquina",
    "year": "Año {year}",
    "tag": "Etiqueta {tag}",
    "serial": "número de serie {serial}",
    "engine": "Motor {engine}",
    "told_us": "Lo que usted nos dijo",
    "happens_when": "Cuándo",
    "rank_safety": "Seguridad",
    "rank_safety_plain": "alguien puede lastimarse",
    "rank_needed": "Necesario",
    "rank_needed_plain": "para que funcione",
    "rank_advised": "Recomendado",
    "rank_advised_plain": "conviene hacerlo",
    "agreed_before": "Acordado antes",
    "agreed_before_plain": "no se vuelve a preguntar",
    "quantity": "Cantidad",
    "approve": "¿Aprueba?",
    "amount": "Monto",
    "yes": "Sí",
    "no": "No",
    "open": "Sin respuesta",
    "agreed": "Acordado",
    "we_found": "Encontramos",
    "if_later": "si se hace después",
    "discount_in": "Incluye un descuento de {amount}.",
    "core_in": "Incluye un depósito de {amount} por la pieza usada, reembolsable.",
    "only_one": "Va junto con {works}: si aprueba solo una parte, el trabajo puede quedar incompleto.",
    "count_at": "{count} a {price}",
    "kind_labor": "Mano de obra",
    "kind_part": "Pieza",
    "kind_travel": "Viaje",
    "kind_fee": "Cargo",
    "kind_supplies": "Materiales",
    "changes": "Qué cambió",
    "signed_before": "{name} respondió la cotización anterior el {day}.",
    "signed_before_kept": (
        "{name} respondió la cotización anterior el {day}. "
        "Se conservan las respuestas a lo que no cambió; aquí puede cambiarlas."
    ),
    "change_added": "Nuevo",
    "change_changed": "Cambió, antes {money}",
    "change_removed": "Se quitó, antes {money}",
    "change_same_price": "Cambió, mismo precio",
    "unchanged_one": "{count} punto no cambió.",
    "unchanged_other": "{count} puntos no cambiaron.",
    "kept_yes": "No cambió. Respondió que sí el {day}.",
    "kept_no": "No cambió. Respondió que no el {day}.",
    "tax_share": "{percent} de {base}",
    "tax_share_inside": "{percent} de {base}, incluido",
    "before_tax": "Antes de impuestos",
    "total": "Total",
    "approved_total": "Total aprobado",
    "later_total": "El mismo trabajo si se hace después",
    "deposit": "Anticipo a pagar",
    "balance": "Saldo",
    "full_quote": "La cotización completa era de",
    "please_note": "Tenga en cuenta",
    "note": "Nota",
    "terms": "Condiciones",
    "exempt": "Sin impuesto: el cliente está exento.",
    "exempt_because": "Sin impuesto: el cliente está exento ({reason}).",
    "no_tax": "No se cobra impuesto.",
    "no_tax_approved": "No se cobra impuesto por lo aprobado.",
    "tax_inside": "Los precios incluyen impuestos.",
    "tax_added": "A estos precios se les suma el impuesto.",
    "caution_safety": "Por favor, no use la máquina hasta que se repare lo que está bajo Seguridad.",
    "caution_manuals": (
        "Siga los manuales del fabricante de la máquina y del motor: tienen prioridad sobre esta cotización."
    ),
    "caution_rules": (
        "Se aplican las normas locales sobre combustible, ruido, arrestachispas, aceite usado y remolque. "
        "Consulte las de su zona."
    ),
    "caution_findings": (
        "Lo encontrado describe lo que vimos y medimos ese día. No predice el estado futuro de la máquina."
    ),
    "sign_name": "Nombre",
    "sign_signature": "Firma",
    "sign_date": "Fecha",
    "answered_by": "Respuesta de {name}",
    "other_version": "Esta respuesta era para otra versión; se conserva, pero no se aplica.",
    "how": "Cómo",
    "how_glass": "firmado en el teléfono del taller",
    "how_link": "por enlace en línea",
    "how_call": "por teléfono, anotado por el taller",
    "how_in_person": "en persona, anotado por el taller",
    "when": "Cuándo",
    "shop_time": "Hora del taller",
    "received": "Recibido",
    "approved": "Puntos aprobados",
    "approved_declined": "{yes}; rechazados: {no}",
    "none": "ninguno",
    "approved_amount": "Monto aprobado",
    "labor_parts": "{whole}; antes de impuestos mano de obra {labor}, piezas {parts}",
    "recorded_by": "Anotado por",
    "number_called": "Número al que se llamó",
    "conditions": "Condiciones",
    "notes": "Notas",
    "ink_one": "Firma de {name}, hecha a mano en {count} trazo, {when}",
    "ink_other": "Firma de {name}, hecha a mano en {count} trazos, {when}",
}

# Also on the phone (`config/contract/messages.py`), and part of what is signed: a change makes another document.
OFFER: Mapping[str, str] = {
    "added_labor_minimum": "Hasta el mínimo del taller por mano de obra",
    "added_supplies": "Materiales del taller",
    "added_diagnosis_credit": "Cargo de diagnóstico descontado de la reparación",
    "added_discount": "Descuento",
    "added_exemption": "Impuesto restado de los precios (exento)",
    "in_part": (
        "El descuento fijo es por todo lo de esta cotización. Si acepta solo una parte, "
        "recibe la parte proporcional del descuento."
    ),
    "in_part_full": (
        "El descuento fijo es por todo lo de esta cotización. Aunque acepte solo una parte, recibe todo el descuento."
    ),
    "credited": (
        "Lo que se descuenta del cargo de diagnóstico no se cobra: no lleva impuesto, "
        "y el impuesto de la reparación es el mismo que sin ese cargo."
    ),
    "on_top_supplies_tax": (
        "A estos precios se les suman los materiales del taller (limpiador, grasa, trapos y similares) y el impuesto; "
        "están incluidos en el total."
    ),
    "on_top_supplies": (
        "A estos precios se les suman los materiales del taller (limpiador, grasa, trapos y similares); "
        "están incluidos en el total."
    ),
    "on_top_supplies_inside": (
        "A estos precios se les suman los materiales del taller (limpiador, grasa, trapos y similares); "
        "están incluidos en el total. Los precios incluyen impuestos."
    ),
    "on_top_tax": "A estos precios se les suma el impuesto; está incluido en el total.",
    "on_top_inside": "Los precios incluyen impuestos.",
}

PAGE: Mapping[str, str] = {
    "about_first": "esta es nuestra cotización",
    "about_added": "encontramos más trabajo",
    "about_revision": "nuestra cotización cambió",
    "page_intro": "No se hace nada sin su aprobación. Elija sí o no en cada punto. Puede decir que no sin problema.",
    "not_sent": "Todavía no se envió.",
    "missing_one": "Elija sí o no en cada punto: falta {count} respuesta.",
    "missing_other": "Elija sí o no en cada punto: faltan {count} respuestas.",
    "answer_this": "Por favor, responda este punto.",
    "whats_in_it": "Qué incluye",
    "if_done_later": "Si se hace después:",
    "if_not_fixed": "Si no se repara",
    "photo": "Foto {count} de lo que encontramos",
    "everything": "Si aprueba todo: {total}.",
    "update_total": "Actualizar el total",
    "review": "Revisar mi respuesta",
    "ask_first": "Hacer una pregunta primero",
    "approving": "Lo que aprueba",
    "approving_agreed": "Lo que aprueba y lo acordado antes",
    "check_title": "Su respuesta",
    "check_head": "¿Es esta su respuesta?",
    "safety_no": (
        "Dijo que no a una reparación de seguridad. Alguien podría lastimarse. "
        "Por favor, no use la máquina hasta que se repare."
    ),
    "your_name": "Su nombre",
    "typing_signs": (
        "Escribir su nombre vale como su firma. Con ella guardamos el texto exacto, los importes, la hora y el "
        "dispositivo."
    ),
    "send_answer": "Enviar mi respuesta",
    "change": "Cambiar algo",
    "saved_title": "Su respuesta quedó guardada",
    "saved_head": "Gracias. Su respuesta quedó guardada.",
    "already_answered": "Ya se respondió",
    "newer": "Hay una cotización más reciente.",
    "see_newer": "Ver la cotización más reciente",
    "save_pdf": "Guardar una copia (PDF)",
    "pdf_waiting": "Su copia se está preparando.",
    "check_again": "Ver si ya está",
    "not_what_meant": "Si esto no es lo que quería, llame al taller antes de que empiece el trabajo.",
    "closed_title": "Cerrada",
    "closed_head": "Esta solicitud está cerrada",
    "question_head": "Haga una pregunta",
    "question_intro": "Alguien del taller le llamará. Preguntar no decide nada.",
    "question_label": "¿Qué desea saber?",
    "question_send": "Enviar la pregunta",
    "question_empty": "Escriba su pregunta.",
    "question_long": "Escriba su pregunta en 2,000 letras como máximo.",
    "back_to_quote": "Volver a la cotización",
    "asked_head": "Recibimos su pregunta",
    "asked_next": "Alguien del taller le llamará.",
    "name_missing": "Escriba su nombre, para que el taller sepa quién respondió.",
    "name_long": "Este nombre es demasiado largo: 120 letras como máximo.",
    "nowhere": "Este enlace no lleva a ninguna parte",
    "nowhere_next": "Compruebe que copió la dirección completa.",
    "wait": "Espere un momento",
    "not_now": "Ahora no es posible",
    "pdf_missing": "Todavía no está lista",
    "pdf_missing_next": "Vuelva atrás, espere un momento y pídala otra vez.",
}

TEXTS: Mapping[str, str] = {**PAPER, **OFFER, **PAGE}
