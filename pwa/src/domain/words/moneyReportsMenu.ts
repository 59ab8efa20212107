/** What opens the reports on money: by itself, so that their words load with their screens. */
export const moneyReportsMenu = { title: 'Money reports', hint: 'Taken, earned, lost' }
