/** Words of follow-ups that are due. */
export const due = {
  title: 'Follow-ups',
  call: 'Call',
  write: 'Message',
  later: 'In a week',
  drop: 'Drop',
  didYou: 'Sent?',
  sentIt: 'Yes, sent',
  putOff: (day: string) => `Put off until ${day}`,
  dropped: 'Dropped; it does not come again',
  hello: (shop: string) => `${shop}: `,
  notSent: 'Not sent',
  noted: 'Noted as sent',
}
