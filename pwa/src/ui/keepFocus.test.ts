// @vitest-environment happy-dom
import { afterEach, beforeEach, expect, test } from 'vitest'
import { keepFocusIn } from './keepFocus'

const main = document.createElement('main')
let stop = () => {}

beforeEach(() => {
  document.body.append(main)
  main.innerHTML = `
    <h1 tabindex="-1">Today</h1>
    <section id="clock"><button id="start">Start</button></section>
    <section id="list"><button id="later">In a week</button></section>`
  stop = keepFocusIn(main)
})
afterEach(() => {
  stop()
  main.remove()
})

const byId = (id: string) => document.getElementById(id) as HTMLElement
const settled = () => new Promise((done) => setTimeout(done))

test('the focus goes on to what took the place of the pressed button', async () => {
  byId('start').focus()
  byId('clock').innerHTML = '<button id="stop">Stop</button>'
  await settled()
  expect(document.activeElement?.id).toBe('stop')
})

test('where its whole section goes, the focus goes to the first that is left around it', async () => {
  byId('later').focus()
  byId('list').remove()
  await settled()
  expect(document.activeElement?.tagName).toBe('H1')
})

test('what is disabled is passed over', async () => {
  byId('later').focus()
  byId('list').innerHTML = '<button disabled>Next</button><button id="after">After</button>'
  await settled()
  expect(document.activeElement?.id).toBe('after')
})

test('a focus that was not lost stays', async () => {
  byId('start').focus()
  byId('list').remove()
  await settled()
  expect(document.activeElement?.id).toBe('start')
})
