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
      total: '$184.50',
      link: 'https://shop.example/ask/…',
    },
    words: {
      email: {
        subject: '{machine}: more work to decide on',
        body: 'Hello {customer},\n\nworking on your {machine} ({job}) we found more that needs your decision. With pictures and prices, line by line:\n\n{link}\n\nYes to all of it comes to {total}. Saying no is as easy, and you can ask back there.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: more work on your {machine}, {total} for all of it. Yes or no: {link}',
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
        subject: '{machine}: our quote awaits your answer',
        body: 'Hello {customer},\n\nwe quoted {total} for your {machine} ({job}) and have no answer yet. The quote holds until {until}. A yes, a no or a question: just answer this message.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: our quote of {total} for your {machine} holds until {until}. Yes or no?',
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
        subject: '{machine}: ready',
        body: 'Hello {customer},\n\nyour {machine} ({job}) is ready to go back to you.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: your {machine} ({job}) is ready to go back to you.',
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
        subject: '{machine}: how does it run?',
        body: 'Hello {customer},\n\nyour {machine} has been back for a while. Does it run as it should?\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: does your {machine} run as it should?',
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
        subject: '{machine}: work on a safety device is still open',
        body: 'Hello {customer},\n\non your {machine} this was left as it is: {finding} Until it is repaired, protection is missing. Shall we do it?\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: still open on your {machine}: {finding} Shall we repair it?',
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
        subject: '{machine}: time for its service',
        body: 'Hello {customer},\n\nit is about a year since your {machine} was here. Shall we look it over before the season?\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: your {machine} was here about a year ago. Shall we look it over?',
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
        subject: 'Your clock still runs',
        body: 'It has run since {since}: {work}. Did you stop before now?',
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
  },
  on_my_way: {
    examples: {
      customer: 'Winnie Stroud',
      shop: 'Millbrook Small Engine',
      machine: 'garden tractor',
      after: '2:05 PM',
      before: '2:40 PM',
    },
    words: {
      email: {
        subject: '{machine}: on the way to you',
        body: 'Hello {customer},\n\nwe are on our way about your {machine} and expect to be with you between {after} and {before}.\n\n{shop}',
      },
      sms: {
        subject: '',
        body: '{shop}: on our way about your {machine}. We expect to be with you between {after} and {before}.',
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
  },
}
