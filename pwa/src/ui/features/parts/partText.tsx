import type { PartNeed } from '../../../domain/contract'
import { parts as t } from '../../../domain/words/parts'
import { aboveAgreed, isAboveUnseen } from '../../../store/partNeeds'
import { ListItem } from '../../components/List'
import { Serial } from '../../components/Serial'
import { format } from '../../shopFormat'

/** The number of a part, and the one that replaces it. */
export function PartNumber({ row }: { row: Pick<PartNeed, 'number' | 'superseded_by'> }) {
  if (!row.number && !row.superseded_by) return null
  return (
    <>
      <Serial text={row.number} />
      {row.superseded_by && ` ${t.replaced(row.superseded_by)}`}
    </>
  )
}

/** By how much a part is dearer than agreed, or for who sees no costs that it is, as a sentence; empty: it is not. */
export function aboveText(row: PartNeed): string {
  const more = aboveAgreed(row)
  if (more > 0) return t.above(format.value.money(more))
  return isAboveUnseen(row) ? t.aboveUnseen : ''
}

/** A part that a job needs, in a list. */
export function NeedRow({ row, details }: { row: PartNeed; details?: string }) {
  return (
    <ListItem
      to={{ at: 'part', id: row.id }}
      title={row.description}
      value={t.count(format.value.number(row.quantity))}
      details={
        <>
          <PartNumber row={row} />
          {row.number && details && ' · '}
          {details}
        </>
      }
    />
  )
}
