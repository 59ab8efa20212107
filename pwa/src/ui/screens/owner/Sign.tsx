import { en } from '../../../domain/words'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Page } from '../../components/Page'
import { Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { Signed } from '../../components/Signed'
import type { Draft } from '../../draft'
import { figures } from '../../shopFigures'
import { telling } from '../../telling'
import { WhatItComesTo } from '../quotes/Lines'
import type { Owned, OwnedQuote } from './owned'

const its = en.quote.owner

interface Props {
  offer: OwnedQuote
  draft: Draft<Owned>
  wrong: { name?: string; ink?: string }
  busy: boolean
  onDecide: () => void
}

/** Name and ink under what was said; a no needs no more than a name. */
export function Sign({ offer, draft: { fields, put }, wrong, busy, onDecide }: Props) {
  const { document, sums, yes, no } = offer
  const inked = yes.length > 0 && !fields.noInk
  const keys = (
    <>
      {yes.length > 0 && (
        <Key
          words={its.cannotDraw}
          pressed={fields.noInk}
          onPress={() => put({ noInk: !fields.noInk, strokes: [] })}
        />
      )}
      <Key words={its.backToLines} onPress={() => put({ step: 'lines' })} />
    </>
  )
  return (
    <Page
      kind="owner"
      over={its.title(document.shop)}
      title={its.signTitle}
      under={its.recap(yes.length, no.length)}
      queue={null}
      told={telling.value}
      dock={
        <Slab
          words={yes.length ? its.agreeYes(figures.value.money(sums.total_minor)) : its.agreeNo}
          form="sign"
          busy={busy}
        />
      }
    >
      <Form id="sign" wrong={wrong} onSend={onDecide}>
        <Field
          label={its.name}
          value={fields.name}
          wrong={wrong.name}
          capital="words"
          autocomplete="off"
          enter="done"
          onValue={(name) => put({ name })}
        />
        {inked ? (
          <Signed
            label={its.inkLabel}
            hint={its.ink}
            clear={its.clear}
            wrong={wrong.ink}
            kept={fields.strokes}
            onDrawn={(strokes, box) => put({ strokes, box })}
            onWiped={() => put({ strokes: [] })}
          >
            {keys}
          </Signed>
        ) : (
          <Keys>{keys}</Keys>
        )}
        {yes.length > 0 && (
          <Part title={its.youPay}>
            <WhatItComesTo sums={sums} inclusive={document.prices_hold_tax} />
          </Part>
        )}
      </Form>
    </Page>
  )
}
