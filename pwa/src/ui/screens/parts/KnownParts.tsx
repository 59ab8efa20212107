import type { Machine } from '../../../domain/contract'
import { parts as t } from '../../../domain/words/parts'
import { type KnownPart, knownParts } from '../../../store/partsUsed'
import { ListItem } from '../../components/List'
import { PartNumber } from '../../features/parts/partText'
import { machineName } from '../../names'
import type { FormState } from '../../useForm'
import { copiedFields, type PartFields } from './partFields'

/** Parts used before on this machine or one like it, and those of the catalog: one press fills the form. */
export function KnownParts({
  machine,
  form: { fields, update },
}: {
  machine: Machine
  form: FormState<PartFields>
}) {
  if (fields.taken && fields.taken === fields.description) return null
  const found = knownParts(machine, fields.description)
  if (!found.length) return null
  const take = ({ part, catalog_part_id }: KnownPart) =>
    update({ ...copiedFields(part), catalogId: catalog_part_id ?? '', taken: part.description })
  return (
    <ul class="list used-before" aria-label={t.usedBefore}>
      {found.map((each) => (
        <li key={each.key}>
          <ListItem
            title={each.part.description}
            value={each.fit ? t.fits[each.fit] : t.inCatalog}
            details={
              <>
                <PartNumber row={each.part} />{' '}
                {each.machine && each.fit !== 'machine' && machineName(each.machine)}
              </>
            }
            onPress={() => take(each)}
          />
        </li>
      ))}
    </ul>
  )
}
