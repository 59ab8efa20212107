import type { CheckItem } from '../../../domain/contract'
import { checkListForm as t } from '../../../domain/words/checks'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Section } from '../../components/Section'

interface Props {
  items: readonly CheckItem[]
  errors: Readonly<Record<string, string | undefined>>
  onItems: (items: readonly CheckItem[]) => void
}

/** The items of a list in order, each with its words and whether someone can get hurt. */
export function ItemFields({ items, errors, onItems }: Props) {
  const change = (id: string, changed: Partial<CheckItem>) =>
    onItems(items.map((item) => (item.id === id ? { ...item, ...changed } : item)))
  const moveUp = (at: number) =>
    onItems([
      ...items.slice(0, at - 1),
      ...items.slice(at, at + 1),
      ...items.slice(at - 1, at),
      ...items.slice(at + 1),
    ])
  return (
    <Section title={t.items} end={items.length}>
      <ol class="list-rows check-items">
        {items.map((item, at) => (
          <li key={item.id}>
            <TextField
              label={t.item(at + 1)}
              value={item.words}
              error={errors[`item:${item.id}`] ?? (at === 0 ? errors['items'] : undefined)}
              onValueChange={(words) => change(item.id, { words })}
            />
            <ButtonRow>
              <Button
                label={t.critical}
                pressed={item.critical}
                onPress={() => change(item.id, { critical: !item.critical })}
              />
              {at > 0 && <Button label={t.up} ariaLabel={t.upItem(at + 1)} onPress={() => moveUp(at)} />}
              <Button
                label={t.remove}
                ariaLabel={t.removeItem(at + 1)}
                onPress={() => onItems(items.filter(({ id }) => id !== item.id))}
              />
            </ButtonRow>
          </li>
        ))}
      </ol>
    </Section>
  )
}
