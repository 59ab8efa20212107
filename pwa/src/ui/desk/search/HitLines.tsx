import { deskSearch as t } from '../../../domain/words/keys'
import { markMatches } from '../../../store/search/everything'
import { KeyCaps } from '../../components/KeyCaps'
import type { Hit, HitGroup } from './hits'

interface GroupProps {
  group: HitGroup
  asked: string
  current: Hit | undefined
  choose: (hit: Hit, event: MouseEvent) => void
}

/** The lines of one kind, with what matched in them marked. */
export function HitLines({ group: { kind, hits, more }, asked, current, choose }: GroupProps) {
  return (
    // biome-ignore lint/a11y/useSemanticElements: a fieldset has no place in a list to choose from
    <div role="group" aria-label={t.kinds[kind]} class="hits">
      <p class="kind" aria-hidden="true">
        {t.kinds[kind]}
      </p>
      {hits.map((hit) => (
        <HitLine key={hit.id} hit={hit} asked={asked} current={hit === current} choose={choose} />
      ))}
      {more > 0 && <p class="more">{t.more(more)}</p>}
    </div>
  )
}

function HitLine({
  hit,
  asked,
  current,
  choose,
}: Omit<GroupProps, 'group' | 'current'> & { hit: Hit; current: boolean }) {
  return (
    // The keys of the list are those of the field, which keeps the focus.
    // biome-ignore lint/a11y/useFocusableInteractive lint/a11y/useKeyWithClickEvents: see above
    <div
      id={`hit-${hit.id}`}
      role="option"
      aria-selected={current}
      class="hit"
      ref={(line) => {
        if (current) line?.scrollIntoView({ block: 'nearest' })
      }}
      onClick={(event) => choose(hit, event)}
    >
      <span>
        <Marked text={hit.title} asked={asked} />{' '}
        {hit.details && (
          <small>
            <Marked text={hit.details} asked={asked} />
          </small>
        )}
        {hit.why?.map(([name, text]) => (
          <small key={name} class="why">
            {name}: <Marked text={text} asked={asked} />
          </small>
        ))}
      </span>
      {hit.keys ? <KeyCaps keys={hit.keys} /> : current && <KeyCaps keys="Enter" />}
    </div>
  )
}

function Marked({ text, asked }: { text: string; asked: string }) {
  return (
    <>
      {markMatches(text, asked).map(([piece, matches], at) =>
        matches ? <mark key={at}>{piece}</mark> : piece,
      )}
    </>
  )
}
