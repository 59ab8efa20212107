import { type ComponentChildren, Fragment } from 'preact'
import type { FindingRank, Quote, QuoteLine } from '../../../domain/contract'
import { ranksWith } from '../../../domain/quotes/lines'
import type { Question } from '../../../domain/quotes/questions'
import { en } from '../../../domain/words/index'
import { Section } from '../../components/Section'
import { format } from '../../shopFormat'
import { AddToWork } from './QuoteBuilderRows'

interface Props {
  row: Quote
  lines: readonly QuoteLine[]
  works: readonly Question[]
  /** The lines of a rank that belong to no work. */
  other: (rank: FindingRank) => readonly QuoteLine[]
  list: (lines: readonly QuoteLine[]) => ComponentChildren
}

/** The lines by rank, each rank once, with the works of one line; then each work of several lines. */
export function QuoteWorks({ row, lines, works, other, list }: Props) {
  const part = (work: Question) => (
    <Fragment key={work.key}>
      {list(lines.filter(({ id }) => work.lines.some((line) => line.id === id)))}
      <AddToWork row={row} line={lines.find(({ id }) => id === work.lines[0]?.id)} />
    </Fragment>
  )
  return (
    <>
      {ranksWith(lines).map((rank) => {
        const alone = works.filter((work) => work.rank === rank && work.lines.length === 1)
        return other(rank).length + alone.length > 0 ? (
          <Section key={rank} title={en.ranks[rank]}>
            {other(rank).length > 0 && list(other(rank))}
            {alone.map(part)}
          </Section>
        ) : null
      })}
      {works
        .filter((work) => work.lines.length > 1)
        .map((work) => (
          <Section
            key={work.key}
            title={work.title}
            end={format.value.money(work.amount)}
            hint={en.ranks[work.rank]}
          >
            {part(work)}
          </Section>
        ))}
    </>
  )
}
