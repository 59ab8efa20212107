import { stock as t } from '../../../domain/words/stock'
import { stockMenu } from '../../../domain/words/stockMenu'
import { allParts } from '../../../store/catalog'
import { allOf } from '../../../store/rows/selectors'
import { session } from '../../../store/session/session'
import { allPlaces, levelsAt, missingOf, stockPlace } from '../../../store/stock'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { ShopPage } from '../../ShopPage'
import { figure, partName } from './stockText'

/** Where parts are: the member's own truck first; then what is below its minimum. */
export function Stock() {
  const me = session.value.member?.id
  const below = allParts().filter((part) => missingOf(part) !== '0')
  const unsure = placesBelowZero()
  return (
    <ShopPage
      title={stockMenu.title}
      dock={<PrimaryButton label={t.addPlace} to={{ at: 'new-stock-place' }} />}
    >
      {unsure.length > 0 && (
        <Section title={t.negative}>
          <p class="hint">{t.negativeHint}</p>
          <List items={unsure} keyOf={({ part, place }) => part.id + place.id} empty="">
            {({ part, place }) => (
              <ListItem
                to={{ at: 'stock-count', id: part.id, placeId: place.id }}
                title={partName(part)}
                details={place.name}
              />
            )}
          </List>
        </Section>
      )}
      <List items={allPlaces()} keyOf={({ id }) => id} empty={t.noPlaces} emptyHint={t.noPlacesHint}>
        {(row) => (
          <ListItem
            to={{ at: 'stock-place', id: row.id }}
            title={row.name}
            details={row.holder_id && row.holder_id === me ? t.myTruck : t.kinds[row.kind]}
            value={row.archived ? t.archived : t.parts(partsAt(row.id))}
          />
        )}
      </List>
      {below.length > 0 && (
        <Section title={t.below}>
          <List items={below} keyOf={({ id }) => id} empty="">
            {(part) => (
              <ListItem
                to={{ at: 'catalog-part', id: part.id }}
                title={partName(part)}
                details={t.belowHint(figure(missingOf(part)), figure(part.minimum))}
              />
            )}
          </List>
        </Section>
      )}
      <ButtonRow stacked>
        <Button wide label={t.toCatalog} to={{ at: 'catalog' }} />
      </ButtonRow>
    </ShopPage>
  )
}

const partsAt = (placeId: string): number =>
  [...levelsAt(placeId).values()].filter((level) => level !== '0' && !level.startsWith('-')).length

/** Where more was taken than was known to be there. */
function placesBelowZero() {
  return allPlaces().flatMap((place) =>
    [...levelsAt(place.id)].flatMap(([partId, level]) => {
      const part = level.startsWith('-') && allOf('catalog_part').find(({ id }) => id === partId)
      const at = stockPlace(place.id)
      return part && at ? [{ part, place: at }] : []
    }),
  )
}
