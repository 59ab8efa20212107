import { useState } from 'preact/hooks'
import { RANKS } from '../../../domain/lines'
import { onTop } from '../../../domain/wording'
import { en } from '../../../domain/words'
import { Page } from '../../components/Page'
import { Caution, Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { Tally } from '../../components/Sums'
import { type Answer, Verdict } from '../../components/Verdict'
import type { Draft } from '../../draft'
import { figures } from '../../shopFigures'
import { telling } from '../../telling'
import { priceWords, WhatItComesTo } from '../quotes/Lines'
import type { Owned, OwnedQuote } from './owned'

const its = en.quote.owner

/** Yes or no to each line, with what the yeses come to always in sight. */
export function Lines({ offer, draft: { fields, put } }: { offer: OwnedQuote; draft: Draft<Owned> }) {
  const [asked, setAsked] = useState(false)
  const { document, lines, sums, later, yes, no } = offer
  const said = onTop({
    supplies: document.added.some(({ key }) => key === 'supplies'),
    tax: document.tax.length > 0,
    taxInside: document.prices_hold_tax,
  })
  const read = figures.value
  const left = lines.length - yes.length - no.length
  const answerAll = (answer: Answer) =>
    put({ answers: Object.fromEntries(lines.map(({ id }) => [id, answer])) })
  const safetyNo = lines.some(({ id, rank }) => rank === 'safety' && fields.answers[id] === 'no')

  function next() {
    setAsked(true)
    if (!left) {
      put({ step: 'sign' })
      scrollTo(0, 0)
      return
    }
    const open = lines.find(({ id }) => !fields.answers[id])
    globalThis.document.getElementById(`line-${open?.id}`)?.querySelector<HTMLElement>('button')?.focus()
  }
  return (
    <Page
      kind="owner"
      title={its.title(document.shop)}
      under={
        <>
          <p>{its.machine(document.machine)}</p>
          <p class="lines">{its.intro}</p>
        </>
      }
      queue={null}
      told={telling.value}
      dock={
        <>
          <Tally
            name={its.youPay}
            amount={read.money(sums.total_minor)}
            by={[
              ...(sums.tax_minor ? [document.prices_hold_tax ? its.taxInside : its.withTax] : []),
              left ? its.undecided(left) : its.recap(yes.length, no.length),
            ]}
          />
          <Slab
            words={left || yes.length ? its.next : its.nextNothing}
            {...(asked && left > 0 && { hint: its.decideFirst })}
            onPress={next}
          />
        </>
      }
    >
      {lines.length > 1 && (
        <Keys>
          <Key words={its.allYes} onPress={() => answerAll('yes')} />
          <Key words={its.allNo} onPress={() => answerAll('no')} />
        </Keys>
      )}
      {RANKS.map((rank) => {
        const ranked = lines.filter((line) => line.rank === rank)
        return (
          ranked.length > 0 && (
            <Part key={rank} title={its.rankTitles[rank]}>
              {ranked.map((line) => (
                <Verdict
                  key={line.id}
                  id={`line-${line.id}`}
                  words={line.words}
                  amount={read.money(line.amount_minor)}
                  price={priceWords(line)}
                  also={line.included}
                  found={line.found === line.words ? undefined : line.found}
                  later={line.later_minor === undefined ? undefined : read.money(line.later_minor)}
                  answer={fields.answers[line.id] ?? null}
                  onAnswer={(answer) => put({ answers: { ...fields.answers, [line.id]: answer } })}
                />
              ))}
              {rank === 'safety' && safetyNo && <Caution words={its.safetyNo} />}
            </Part>
          )
        )
      })}
      {said && <p class="lines">{said}</p>}
      {yes.length > 0 && (
        <Part title={its.youPay}>
          <WhatItComesTo sums={sums} inclusive={document.prices_hold_tax} />
          {later !== null && <p class="lines">{its.laterTotal(read.money(later))}</p>}
        </Part>
      )}
      <Part title={its.terms}>
        <p class="lines">{document.terms}</p>
        <p class="lines">{its.validUntil(read.day(document.valid_until))}</p>
      </Part>
      <Keys tall>
        <Key wide words={its.leave} onPress={() => put({ step: 'undecided' })} />
      </Keys>
    </Page>
  )
}
