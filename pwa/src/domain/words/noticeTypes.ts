import type { MessageType } from '../notices/templates'

/**
 * The messages there are: what each may name, with examples, and the words that come with Drawbar. Twin of
 * `MESSAGE_TYPES` in `shopapi/notices/rules/templates.py`; both agree with `fixtures/notices/wordings.json`.
 */
export const messageTypes: Readonly<Record<string, MessageType>> = {
  approval_request: {
    examples: {
      customer: 'Winnie Stroud',
      shop: 'Millbrook Small Engine',
      machine: 'garden tractor',
      job: 'J-1042',
      about: 'here is our quote',
      total: '$184.50',
      link: 'https://shop.example/ask/…',
    },
    words: {
      email: {
        subject: 'Your {machine}: we need your OK',
        body: 'Hello {customer},\n\nAbout your {machine} ({job}): {about}, and it needs your OK. Photos and prices, item by item:\n\n{link}\n\nAll of it comes to {total}. You can say yes or no to each, or ask us a question there.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}, your {machine}: {about}, {total} in all. Please answer here: {link}',
      },
    },
    in_spanish: {
      email: {
        subject: 'Su {machine}: necesitamos su aprobación',
        body: 'Hola, {customer}:\n\nSobre su {machine} ({job}): {about}. Necesitamos su aprobación. Fotos y precios, punto por punto:\n\n{link}\n\nTodo suma {total}. Allí puede decir sí o no a cada punto, o hacernos una pregunta.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}, su {machine}: {about}, {total} en total. Responda aquí, por favor: {link}',
      },
    },
  },
  quote_reminder: {
    examples: {
      customer: 'Winnie Stroud',
      shop: 'Millbrook Small Engine',
      machine: 'garden tractor',
      job: 'J-1042',
      total: '$184.50',
      until: 'Jun 30, 2026',
    },
    words: {
      email: {
        subject: 'Your {machine}: waiting to hear from you',
        body: "Hello {customer},\n\nWe quoted {total} for your {machine} ({job}) and haven't heard back. The quote is good until {until}. Yes, no or a question, just reply.\n\n{shop}",
      },
      sms: {
        subject: '',
        body: '{shop}: our quote of {total} for your {machine} is good until {until}. Yes or no?',
      },
    },
    in_spanish: {
      email: {
        subject: 'Su {machine}: esperamos su respuesta',
        body: 'Hola, {customer}:\n\nLe cotizamos {total} por su {machine} ({job}) y no hemos recibido respuesta. La cotización es válida hasta el {until}. Sí, no o una pregunta: solo responda a este mensaje.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: nuestra cotización de {total} por su {machine} es válida hasta el {until}. ¿Sí o no?',
      },
    },
  },
  machine_received: {
    examples: {
      customer: 'Winnie Stroud',
      shop: 'Millbrook Small Engine',
      machine: 'garden tractor',
      job: 'J-1042',
      link: 'https://shop.example/ticket/…',
    },
    words: {
      email: {
        subject: 'We have your {machine}: ticket {job}',
        body: 'Hello {customer},\n\nWe have your {machine}. Your ticket number is {job}. The ticket has what you told us and what we agreed on:\n\n{link}\n\nSomething not right? Just reply.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: we have your {machine}, ticket {job}. Your copy: {link}',
      },
    },
    in_spanish: {
      email: {
        subject: 'Recibimos su {machine}: comprobante {job}',
        body: 'Hola, {customer}:\n\nRecibimos su {machine}. Su número de comprobante es {job}. El comprobante dice lo que nos contó y lo que acordamos:\n\n{link}\n\n¿Algo no está bien? Solo responda a este mensaje.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: recibimos su {machine}, comprobante {job}. Su copia: {link}',
      },
    },
  },
  machine_ready: {
    examples: {
      customer: 'Winnie Stroud',
      shop: 'Millbrook Small Engine',
      machine: 'garden tractor',
      job: 'J-1042',
    },
    words: {
      email: {
        subject: 'Your {machine} is ready',
        body: 'Hello {customer},\n\nYour {machine} ({job}) is ready for pickup or delivery.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: your {machine} ({job}) is ready for pickup or delivery.',
      },
    },
    in_spanish: {
      email: {
        subject: 'Su {machine}: trabajo terminado',
        body: 'Hola, {customer}:\n\nYa terminamos con su {machine} ({job}). Puede pasar al taller a recoger, o podemos hacer la entrega.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: ya terminamos con su {machine} ({job}). Puede pasar al taller a recoger, o podemos hacer la entrega.',
      },
    },
  },
  check_in: {
    examples: {
      customer: 'Winnie Stroud',
      shop: 'Millbrook Small Engine',
      machine: 'garden tractor',
    },
    words: {
      email: {
        subject: 'How is your {machine} running?',
        body: 'Hello {customer},\n\nYour {machine} has been back for a while. Is it running right?\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: is your {machine} running right?',
      },
    },
    in_spanish: {
      email: {
        subject: '¿Cómo funciona su {machine}?',
        body: 'Hola, {customer}:\n\nHace un tiempo que le devolvimos su {machine}. ¿Funciona bien?\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: ¿funciona bien su {machine}?',
      },
    },
  },
  safety_declined: {
    examples: {
      customer: 'Winnie Stroud',
      shop: 'Millbrook Small Engine',
      machine: 'garden tractor',
      finding: 'The seat switch does not stop the engine.',
    },
    words: {
      email: {
        subject: 'Your {machine}: a safety repair is still needed',
        body: "Hello {customer},\n\nWe found this on your {machine} and it wasn't repaired: {finding}\n\nPlease don't use it until it's fixed. Would you like us to fix it?\n\n{shop}",
      },
      sms: {
        subject: '',
        body: "{shop}: your {machine} still needs a safety repair: {finding} Please don't use it until it's fixed. Would you like us to fix it?",
      },
    },
    in_spanish: {
      email: {
        subject: 'Su {machine}: falta una reparación de seguridad',
        body: 'Hola, {customer}:\n\nEncontramos esto en su {machine} y no se reparó: {finding}\n\nPor favor, no use la máquina hasta que se repare. ¿Quiere que la reparemos?\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: a su {machine} le falta una reparación de seguridad: {finding} Por favor, no use la máquina hasta que se repare. ¿Quiere que la reparemos?',
      },
    },
  },
  service_due: {
    examples: {
      customer: 'Winnie Stroud',
      shop: 'Millbrook Small Engine',
      machine: 'garden tractor',
    },
    words: {
      email: {
        subject: 'Your {machine}: time for service',
        body: "Hello {customer},\n\nIt's been about a year since we serviced your {machine}. Would you like us to service it before the season?\n\n{shop}",
      },
      sms: {
        subject: '',
        body: "{shop}: it's been about a year since we serviced your {machine}. Would you like us to service it?",
      },
    },
    in_spanish: {
      email: {
        subject: 'Su {machine}: es hora del mantenimiento',
        body: 'Hola, {customer}:\n\nHace cerca de un año que le dimos servicio a su {machine}. ¿Quiere que lo hagamos de nuevo antes de la temporada?\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: hace cerca de un año que le dimos servicio a su {machine}. ¿Quiere que lo hagamos de nuevo?',
      },
    },
  },
  invoice_sent: {
    examples: {
      customer: 'Winnie Stroud',
      shop: 'Millbrook Small Engine',
      number: 'INV-1001',
      open: '$184.50',
      due: 'Jun 30, 2026',
      link: 'https://shop.example/bill/…',
    },
    words: {
      email: {
        subject: 'Invoice {number} from {shop}',
        body: 'Hello {customer},\n\nHere is invoice {number}:\n\n{link}\n\nOpen: {open}, due {due}. Questions? Just reply.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: invoice {number}, {open} open, due {due}: {link}',
      },
    },
    in_spanish: {
      email: {
        subject: 'Factura {number} de {shop}',
        body: 'Hola, {customer}:\n\nAquí está la factura {number}:\n\n{link}\n\nPendiente: {open}, vence el {due}. ¿Preguntas? Solo responda a este mensaje.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: factura {number}, pendiente {open}, vence el {due}: {link}',
      },
    },
  },
  billing_paper: {
    examples: {
      customer: 'Winnie Stroud',
      shop: 'Millbrook Small Engine',
      paper: 'statement',
      link: 'https://shop.example/bill/…',
    },
    words: {
      email: {
        subject: 'Your {paper} from {shop}',
        body: 'Hello {customer},\n\nHere is your {paper}:\n\n{link}\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: your {paper}: {link}',
      },
    },
    in_spanish: {
      email: {
        subject: 'Su {paper} de {shop}',
        body: 'Hola, {customer}:\n\nAquí está su {paper}:\n\n{link}\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: su {paper}: {link}',
      },
    },
  },
  payment_reminder: {
    examples: {
      customer: 'Winnie Stroud',
      shop: 'Millbrook Small Engine',
      number: 'INV-1001',
      open: '$184.50',
      due: 'Jun 30, 2026',
      link: 'https://shop.example/bill/…',
    },
    words: {
      email: {
        subject: 'Reminder: invoice {number}',
        body: 'Hello {customer},\n\nInvoice {number} was due on {due}, and {open} is still open:\n\n{link}\n\nAlready paid? Thank you, and never mind this message. Questions? Just reply.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: invoice {number} was due on {due}, {open} is still open: {link}',
      },
    },
    in_spanish: {
      email: {
        subject: 'Recordatorio: factura {number}',
        body: 'Hola, {customer}:\n\nLa factura {number} venció el {due} y quedan {open} por pagar:\n\n{link}\n\n¿Ya pagó? Gracias; en ese caso, no tome en cuenta este mensaje. ¿Preguntas? Solo responda a este mensaje.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: la factura {number} venció el {due}, quedan {open} por pagar: {link}',
      },
    },
  },
  payment_overdue: {
    examples: {
      customer: 'Winnie Stroud',
      shop: 'Millbrook Small Engine',
      number: 'INV-1001',
      open: '$184.50',
      due: 'Jun 30, 2026',
      link: 'https://shop.example/bill/…',
    },
    words: {
      email: {
        subject: 'Invoice {number} is past due',
        body: 'Hello {customer},\n\nWe have written about this before: invoice {number} was due on {due}, and {open} is still open:\n\n{link}\n\nPlease pay it now, or call us so that we find a way.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: invoice {number} is past due since {due}, {open} open. Please pay or call us: {link}',
      },
    },
    in_spanish: {
      email: {
        subject: 'La factura {number} está vencida',
        body: 'Hola, {customer}:\n\nYa le escribimos sobre esto: la factura {number} venció el {due} y quedan {open} por pagar:\n\n{link}\n\nPor favor, páguela ahora o llámenos para buscar una solución.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: la factura {number} venció el {due}, quedan {open} por pagar. Pague o llámenos, por favor: {link}',
      },
    },
  },
  clock_running: {
    examples: {
      since: '8:05 AM',
      work: 'J-1042',
    },
    words: {
      push: {
        subject: 'Your clock is still running',
        body: 'Running since {since}: {work}. Did you forget to stop it?',
      },
    },
    in_spanish: {},
  },
  webhook_off: {
    examples: {
      program: 'Bookkeeping',
      days: '5',
      shop: 'Millbrook Small Engine',
    },
    words: {
      email: {
        subject: 'Drawbar no longer sends to {program}',
        body: 'Nothing sent to {program} has arrived for {days} days, or its address is gone, so {shop} sends nothing there any more. Once it works again, turn it on under More, Other programs: what changed until then is sent as well.',
      },
      push: {
        subject: 'Sending to {program} is off',
        body: 'Nothing has arrived for {days} days, or it is gone.',
      },
    },
    in_spanish: {
      email: {
        subject: 'Drawbar ya no envía nada a {program}',
        body: 'Nada de lo enviado a {program} llegó en {days} días, o su dirección ya no existe. Por eso {shop} ya no envía nada allí. Cuando vuelva a funcionar, actívelo en More, Other programs: lo que haya cambiado hasta entonces se enviará también.',
      },
    },
  },
  customer_asked: {
    examples: {
      customer: 'Winnie Stroud',
      job: 'J-1042',
      question: 'Can it wait until spring?',
    },
    words: {
      push: {
        subject: '{customer} has a question',
        body: '{job}: {question}',
      },
    },
    in_spanish: {},
  },
  on_my_way: {
    examples: {
      customer: 'Winnie Stroud',
      shop: 'Millbrook Small Engine',
      machine: 'garden tractor',
      errand: 'to pick up your garden tractor',
      after: '2:05 PM',
      before: '2:40 PM',
    },
    words: {
      email: {
        subject: "We're on our way",
        body: "Hello {customer},\n\nWe're on our way {errand} and expect to be there between {after} and {before}.\n\n{shop}",
      },
      sms: {
        subject: '',
        body: "{shop}: we're on our way {errand}. Expect us between {after} and {before}.",
      },
    },
    in_spanish: {
      email: {
        subject: 'Vamos en camino',
        body: 'Hola, {customer}:\n\nVamos en camino {errand}. Hora de llegada prevista: de {after} a {before}.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: vamos en camino {errand}. Hora de llegada prevista: de {after} a {before}.',
      },
    },
  },
  part_order: {
    examples: {
      supplier: 'Oakline Supply',
      shop: 'Millbrook Small Engine',
      order: 'PO-1001',
      parts: '2 x BX-41, Deck belt',
    },
    words: {
      email: {
        subject: 'Order {order} from {shop}',
        body: 'Hello {supplier},\n\nPlease send us these parts. Our order number is {order}.\n\n{parts}\n\nPlease reply with what you have, the prices and when it will ship.\n\n{shop}',
      },
    },
    in_spanish: {
      email: {
        subject: 'Pedido {order} de {shop}',
        body: 'Hola, {supplier}:\n\nPor favor, envíenos estas piezas. Nuestro número de pedido es {order}.\n\n{parts}\n\nPor favor, responda con lo que tiene, los precios y la fecha de envío.\n\n{shop}',
      },
    },
  },
  plain: {
    examples: {
      words: 'We are at the gate.',
      shop: 'Millbrook Small Engine',
    },
    words: {
      email: {
        subject: 'Message from {shop}',
        body: '{words}',
      },
      sms: {
        subject: '',
        body: '{words}',
      },
      push: {
        subject: '{shop}',
        body: '{words}',
      },
    },
    in_spanish: {
      email: {
        subject: 'Mensaje de {shop}',
        body: '{words}',
      },
      sms: {
        subject: '',
        body: '{words}',
      },
    },
  },
}
