// What the phone's Intl writes for each case on standard input: the other half of test_figures.py.
const { figures, days } = JSON.parse(await new Response(process.stdin).text())

const digits = { numberingSystem: 'latn' }
const written = figures.map(({ locale, currency, minors, numbers, percents }) => {
  const money = new Intl.NumberFormat(locale, { ...digits, style: 'currency', currency })
  const places = money.resolvedOptions().maximumFractionDigits
  const plain = new Intl.NumberFormat(locale, { ...digits, maximumFractionDigits: 20 })
  const percent = new Intl.NumberFormat(locale, { ...digits, style: 'percent', maximumFractionDigits: 6 })
  return {
    money: minors.map((minor) => money.format(`${minor}e-${places}`)),
    number: numbers.map((number) => plain.format(number)),
    percent: percents.map((each) => percent.format(`${each}e-2`)),
  }
})
const dates = days.map(({ locale, zone, moments }) => {
  const moment = new Intl.DateTimeFormat(locale, { timeZone: zone, dateStyle: 'medium', timeStyle: 'short' })
  const day = new Intl.DateTimeFormat(locale, { timeZone: zone, dateStyle: 'medium' })
  return moments.map((at) => [day.format(Date.parse(at)), moment.format(Date.parse(at))])
})
process.stdout.write(JSON.stringify({ figures: written, days: dates }))
