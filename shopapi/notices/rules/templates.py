"""Message templates with named fields in braces, and the fields that each kind of message may use."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field as dataclass_field

from shopapi.core.errors import FieldError, Invalid
from shopapi.core.languages import ENGLISH, Language

FIELD = re.compile(r"\{([a-z_]+)\}")
MOST_SMS = 480


@dataclass(frozen=True)
class Wording:
    """Subject (the title of a push; empty for a text message) and body, with fields in braces."""

    subject: str
    body: str


@dataclass(frozen=True)
class MessageType:
    """One kind of message: its fields with an example of each, and its words by channel.

    `in_spanish`: of what goes to customers; messages to members are in English.
    """

    examples: Mapping[str, str]
    words: Mapping[str, Wording]
    in_spanish: Mapping[str, Wording] = dataclass_field(default_factory=dict)

    def wording(self, channel: str, language: Language) -> Wording:
        """The default words over a channel, in English where there are none in this language."""
        return (self.in_spanish if language == "es" else self.words).get(channel, self.words[channel])


CUSTOMER_EXAMPLES = {"customer": "Winnie Stroud", "shop": "Millbrook Small Engine", "machine": "garden tractor"}
BILL_EXAMPLES = {
    "customer": CUSTOMER_EXAMPLES["customer"],
    "shop": CUSTOMER_EXAMPLES["shop"],
    "number": "INV-1001",
    "open": "$184.50",
    "due": "Jun 30, 2026",
    "link": "https://shop.example/bill/…",
}

MESSAGE_TYPES: Mapping[str, MessageType] = {
    "approval_request": MessageType(
        {
            **CUSTOMER_EXAMPLES,
            "job": "J-1042",
            "about": "here is our quote",
            "total": "$184.50",
            "link": "https://shop.example/ask/…",
        },
        {
            "email": Wording(
                "Your {machine}: we need your OK",
                "Hello {customer},\n\nAbout your {machine} ({job}): {about}, and it needs your OK. "
                "Photos and prices, item by item:\n\n{link}\n\nAll of it comes to {total}. You can say yes or "
                "no to each, or ask us a question there.\n\n{shop}",
            ),
            "sms": Wording("", "{shop}, your {machine}: {about}, {total} in all. Please answer here: {link}"),
        },
        {
            "email": Wording(
                "Su {machine}: necesitamos su aprobación",
                "Hola, {customer}:\n\nSobre su {machine} ({job}): {about}. Necesitamos su aprobación. "
                "Fotos y precios, punto por punto:\n\n{link}\n\nTodo suma {total}. "
                "Allí puede decir sí o no a cada punto, o hacernos una pregunta.\n\n{shop}",
            ),
            "sms": Wording(
                "",
                "{shop}, su {machine}: {about}, {total} en total. Responda aquí, por favor: {link}",
            ),
        },
    ),
    "quote_reminder": MessageType(
        {**CUSTOMER_EXAMPLES, "job": "J-1042", "total": "$184.50", "until": "Jun 30, 2026"},
        {
            "email": Wording(
                "Your {machine}: waiting to hear from you",
                "Hello {customer},\n\nWe quoted {total} for your {machine} ({job}) and haven't heard back. The "
                "quote is good until {until}. Yes, no or a question, just reply.\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: our quote of {total} for your {machine} is good until {until}. Yes or no?"),
        },
        {
            "email": Wording(
                "Su {machine}: esperamos su respuesta",
                "Hola, {customer}:\n\nLe cotizamos {total} por su {machine} ({job}) y no hemos recibido "
                "respuesta. La cotización es válida hasta el {until}. Sí, no o una pregunta: solo responda a "
                "este mensaje.\n\n{shop}",
            ),
            "sms": Wording(
                "", "{shop}: nuestra cotización de {total} por su {machine} es válida hasta el {until}. ¿Sí o no?"
            ),
        },
    ),
    "machine_received": MessageType(
        {**CUSTOMER_EXAMPLES, "job": "J-1042", "link": "https://shop.example/ticket/…"},
        {
            "email": Wording(
                "We have your {machine}: ticket {job}",
                "Hello {customer},\n\nWe have your {machine}. Your ticket number is {job}. The ticket has what you "
                "told us and what we agreed on:\n\n{link}\n\nSomething not right? Just reply.\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: we have your {machine}, ticket {job}. Your copy: {link}"),
        },
        {
            "email": Wording(
                "Recibimos su {machine}: comprobante {job}",
                "Hola, {customer}:\n\nRecibimos su {machine}. Su número de comprobante es {job}. El comprobante dice "
                "lo que nos contó y lo que acordamos:\n\n{link}\n\n¿Algo no está bien? Solo responda a este "
                "mensaje.\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: recibimos su {machine}, comprobante {job}. Su copia: {link}"),
        },
    ),
    "machine_ready": MessageType(
        {**CUSTOMER_EXAMPLES, "job": "J-1042"},
        {
            "email": Wording(
                "Your {machine} is ready",
                "Hello {customer},\n\nYour {machine} ({job}) is ready for pickup or delivery.\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: your {machine} ({job}) is ready for pickup or delivery."),
        },
        {
            "email": Wording(
                "Su {machine}: trabajo terminado",
                "Hola, {customer}:\n\nYa terminamos con su {machine} ({job}). Puede pasar al taller a "
                "recoger, o podemos hacer la entrega.\n\n{shop}",
            ),
            "sms": Wording(
                "",
                "{shop}: ya terminamos con su {machine} ({job}). Puede pasar al taller a recoger, o podemos "
                "hacer la entrega.",
            ),
        },
    ),
    "check_in": MessageType(
        CUSTOMER_EXAMPLES,
        {
            "email": Wording(
                "How is your {machine} running?",
                "Hello {customer},\n\nYour {machine} has been back for a while. Is it running right?\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: is your {machine} running right?"),
        },
        {
            "email": Wording(
                "¿Cómo funciona su {machine}?",
                "Hola, {customer}:\n\nHace un tiempo que le devolvimos su {machine}. ¿Funciona bien?\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: ¿funciona bien su {machine}?"),
        },
    ),
    "safety_declined": MessageType(
        {**CUSTOMER_EXAMPLES, "finding": "The seat switch does not stop the engine."},
        {
            "email": Wording(
                "Your {machine}: a safety repair is still needed",
                "Hello {customer},\n\nWe found this on your {machine} and it wasn't repaired: {finding}\n\n"
                "Please don't use it until it's fixed. Would you like us to fix it?\n\n{shop}",
            ),
            "sms": Wording(
                "",
                "{shop}: your {machine} still needs a safety repair: {finding} Please don't use it until it's "
                "fixed. Would you like us to fix it?",
            ),
        },
        {
            "email": Wording(
                "Su {machine}: falta una reparación de seguridad",
                "Hola, {customer}:\n\nEncontramos esto en su {machine} y no se reparó: {finding}\n\nPor "
                "favor, no use la máquina hasta que se repare. ¿Quiere que la reparemos?\n\n{shop}",
            ),
            "sms": Wording(
                "",
                "{shop}: a su {machine} le falta una reparación de seguridad: {finding} Por favor, no use la "
                "máquina hasta que se repare. ¿Quiere que la reparemos?",
            ),
        },
    ),
    "service_due": MessageType(
        CUSTOMER_EXAMPLES,
        {
            "email": Wording(
                "Your {machine}: time for service",
                "Hello {customer},\n\nIt's been about a year since we serviced your {machine}. Would you like "
                "us to service it before the season?\n\n{shop}",
            ),
            "sms": Wording(
                "", "{shop}: it's been about a year since we serviced your {machine}. Would you like us to service it?"
            ),
        },
        {
            "email": Wording(
                "Su {machine}: es hora del mantenimiento",
                "Hola, {customer}:\n\nHace cerca de un año que le dimos servicio a su {machine}. ¿Quiere que "
                "lo hagamos de nuevo antes de la temporada?\n\n{shop}",
            ),
            "sms": Wording(
                "",
                "{shop}: hace cerca de un año que le dimos servicio a su {machine}. ¿Quiere que lo hagamos de nuevo?",
            ),
        },
    ),
    "invoice_sent": MessageType(
        BILL_EXAMPLES,
        {
            "email": Wording(
                "Invoice {number} from {shop}",
                "Hello {customer},\n\nHere is invoice {number}:\n\n{link}\n\nOpen: {open}, due {due}. "
                "Questions? Just reply.\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: invoice {number}, {open} open, due {due}: {link}"),
        },
        {
            "email": Wording(
                "Factura {number} de {shop}",
                "Hola, {customer}:\n\nAquí está la factura {number}:\n\n{link}\n\nPendiente: {open}, vence el {due}. "
                "¿Preguntas? Solo responda a este mensaje.\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: factura {number}, pendiente {open}, vence el {due}: {link}"),
        },
    ),
    "billing_paper": MessageType(
        {
            "customer": CUSTOMER_EXAMPLES["customer"],
            "shop": CUSTOMER_EXAMPLES["shop"],
            "paper": "statement",
            "link": "https://shop.example/bill/…",
        },
        {
            "email": Wording(
                "Your {paper} from {shop}", "Hello {customer},\n\nHere is your {paper}:\n\n{link}\n\n{shop}"
            ),
            "sms": Wording("", "{shop}: your {paper}: {link}"),
        },
        {
            "email": Wording("Su {paper} de {shop}", "Hola, {customer}:\n\nAquí está su {paper}:\n\n{link}\n\n{shop}"),
            "sms": Wording("", "{shop}: su {paper}: {link}"),
        },
    ),
    "payment_reminder": MessageType(
        BILL_EXAMPLES,
        {
            "email": Wording(
                "Reminder: invoice {number}",
                "Hello {customer},\n\nInvoice {number} was due on {due}, and {open} is still open:\n\n{link}\n\n"
                "Already paid? Thank you, and never mind this message. Questions? Just reply.\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: invoice {number} was due on {due}, {open} is still open: {link}"),
        },
        {
            "email": Wording(
                "Recordatorio: factura {number}",
                "Hola, {customer}:\n\nLa factura {number} venció el {due} y quedan {open} por pagar:\n\n{link}\n\n"
                "¿Ya pagó? Gracias; en ese caso, no tome en cuenta este mensaje. ¿Preguntas? Solo responda a este "
                "mensaje.\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: la factura {number} venció el {due}, quedan {open} por pagar: {link}"),
        },
    ),
    "payment_overdue": MessageType(
        BILL_EXAMPLES,
        {
            "email": Wording(
                "Invoice {number} is past due",
                "Hello {customer},\n\nWe have written about this before: invoice {number} was due on {due}, and {open} "
                "is still open:\n\n{link}\n\nPlease pay it now, or call us so that we find a way.\n\n{shop}",
            ),
            "sms": Wording(
                "", "{shop}: invoice {number} is past due since {due}, {open} open. Please pay or call us: {link}"
            ),
        },
        {
            "email": Wording(
                "La factura {number} está vencida",
                "Hola, {customer}:\n\nYa le escribimos sobre esto: la factura {number} venció el {due} y quedan {open} "
                "por pagar:\n\n{link}\n\nPor favor, páguela ahora o llámenos para buscar una solución.\n\n{shop}",
            ),
            "sms": Wording(
                "",
                "{shop}: la factura {number} venció el {due}, quedan {open} por pagar. Pague o llámenos, por favor: "
                "{link}",
            ),
        },
    ),
    "clock_running": MessageType(
        {"since": "8:05 AM", "work": "J-1042"},
        {"push": Wording("Your clock is still running", "Running since {since}: {work}. Did you forget to stop it?")},
    ),
    "webhook_off": MessageType(
        {"program": "Bookkeeping", "days": "5", "shop": "Millbrook Small Engine"},
        {
            "email": Wording(
                "Drawbar no longer sends to {program}",
                "Nothing sent to {program} has arrived for {days} days, or its address is gone, so {shop} sends "
                "nothing there any more. Once it works again, turn it on under More, Other programs: what changed "
                "until then is sent as well.",
            ),
            "push": Wording("Sending to {program} is off", "Nothing has arrived for {days} days, or it is gone."),
        },
        {
            "email": Wording(
                "Drawbar ya no envía nada a {program}",
                "Nada de lo enviado a {program} llegó en {days} días, o su dirección ya no existe. Por eso {shop} ya "
                "no envía nada allí. Cuando vuelva a funcionar, actívelo en More, Other programs: lo que haya cambiado "
                "hasta entonces se enviará también.",
            ),
        },
    ),
    "customer_asked": MessageType(
        {"customer": "Winnie Stroud", "job": "J-1042", "question": "Can it wait until spring?"},
        {"push": Wording("{customer} has a question", "{job}: {question}")},
    ),
    "on_my_way": MessageType(
        {
            **CUSTOMER_EXAMPLES,
            "errand": "to pick up your garden tractor",
            "after": "2:05 PM",
            "before": "2:40 PM",
        },
        {
            "email": Wording(
                "We're on our way",
                "Hello {customer},\n\nWe're on our way {errand} and expect to be there between "
                "{after} and {before}.\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: we're on our way {errand}. Expect us between {after} and {before}."),
        },
        {
            "email": Wording(
                "Vamos en camino",
                "Hola, {customer}:\n\nVamos en camino {errand}. Hora de llegada prevista: de {after} "
                "a {before}.\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: vamos en camino {errand}. Hora de llegada prevista: de {after} a {before}."),
        },
    ),
    "part_order": MessageType(
        {
            "supplier": "Oakline Supply",
            "shop": CUSTOMER_EXAMPLES["shop"],
            "order": "PO-1001",
            "parts": "2 x BX-41, Deck belt",
        },
        {
            "email": Wording(
                "Order {order} from {shop}",
                "Hello {supplier},\n\nPlease send us these parts. Our order number is {order}.\n\n{parts}\n\n"
                "Please reply with what you have, the prices and when it will ship.\n\n{shop}",
            ),
        },
        {
            "email": Wording(
                "Pedido {order} de {shop}",
                "Hola, {supplier}:\n\nPor favor, envíenos estas piezas. Nuestro número de pedido es {order}.\n\n{parts}"
                "\n\nPor favor, responda con lo que tiene, los precios y la fecha de envío.\n\n{shop}",
            ),
        },
    ),
    "plain": MessageType(
        {"words": "We are at the gate.", "shop": CUSTOMER_EXAMPLES["shop"]},
        {
            "email": Wording("Message from {shop}", "{words}"),
            "sms": Wording("", "{words}"),
            "push": Wording("{shop}", "{words}"),
        },
        {
            "email": Wording(
                "Mensaje de {shop}",
                "{words}",
            ),
            "sms": Wording("", "{words}"),
        },
    ),
}


# Messages that ask for the decision of a quote: nobody needs them once it is decided.
ASKING = ("approval_request", "quote_reminder")


def message_type_of(key: str, channel: str, *, field: str = "key") -> MessageType:
    """The kind of message by its key. Raises Invalid naming `field` for an unknown key or channel."""
    message_type = MESSAGE_TYPES.get(key)
    if message_type is None:
        fault = FieldError(field, "unknown_template", context={"key": key, "known": ", ".join(MESSAGE_TYPES)})
        raise Invalid("unknown_template", reason=fault.reason, fields=[fault])
    if channel not in message_type.words:
        context = {"key": key, "channel": str(channel), "channels": " / ".join(message_type.words)}
        fault = FieldError("channel", "unknown_template", message="template_not_for_channel", context=context)
        raise Invalid("unknown_template", reason=fault.reason, fields=[fault])
    return message_type


def check_template(key: str, channel: str, wording: Wording, language: Language = ENGLISH) -> None:
    """Raise Invalid, naming the part at fault, unless every field in braces is a field of this kind of message.

    A message to members has no words in another language.
    """
    message_type = message_type_of(key, channel)
    if language != ENGLISH and channel not in message_type.in_spanish:
        raise Invalid("invalid", fields=[FieldError("language", "template_in_english_only")])
    faults = [
        fault
        for part, text in (("subject", wording.subject), ("body", wording.body))
        if (fault := _fault(part, text, message_type)) is not None
    ]
    if "\n" in wording.subject or "\r" in wording.subject:
        faults.append(FieldError("subject", "one_line"))
    if channel != "sms" and not wording.subject.strip():
        faults.append(FieldError("subject", "missing", message="subject_missing"))
    if channel == "sms" and len(wording.body) > MOST_SMS:
        faults.append(FieldError("body", "too_long", message="sms_too_long", context={"most_sms": MOST_SMS}))
    if faults:
        raise Invalid("invalid", fields=faults)


def _fault(part: str, text: str, message_type: MessageType) -> FieldError | None:
    known = ", ".join(f"{{{name}}}" for name in message_type.examples)
    for name in FIELD.findall(text):
        if name not in message_type.examples:
            return FieldError(part, "unknown_field", context={"name": f"{{{name}}}", "known": known})
    if "{" in FIELD.sub("", text) or "}" in FIELD.sub("", text):
        return FieldError(part, "unknown_field", message="lone_brace", context={"known": known})
    return None


def fill(text: str, values: Mapping[str, str]) -> str:
    """Fill in the fields of a text; a field without a value stays in braces. Braces in values are literal.

    >>> fill("{customer}: {total}", {"customer": "{total}", "total": "$5"})
    '{total}: $5'
    """
    return FIELD.sub(lambda found: values.get(found[1], found[0]), text)


def fields_of(wording: Wording) -> frozenset[str]:
    """The names of the fields used in a wording."""
    return frozenset(FIELD.findall(wording.subject) + FIELD.findall(wording.body))
