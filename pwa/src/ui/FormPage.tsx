import type { ComponentChildren, ComponentProps } from 'preact'
import { PrimaryButton } from './components/Button'
import { Form } from './components/Form'
import { ShopPage } from './ShopPage'
import type { FormState } from './useForm'

interface Props extends Omit<ComponentProps<typeof ShopPage>, 'back' | 'dock'> {
  form: Pick<FormState<object>, 'id' | 'errors' | 'busy' | 'back'> & { submit: () => void }
  /** The label of its button. */
  saveLabel: string
  saveHint?: string | undefined
  /** What is still missing before the button can save. */
  missing?: string | undefined
  /** In the dock, above the button. */
  dockTop?: ComponentChildren
  /** In the dock, beside the button. */
  beside?: ComponentChildren
  before?: ComponentChildren
  after?: ComponentChildren
}

/** A page with one form: its fields, content before and after them, and the button in the dock that saves it. */
export function FormPage({
  form,
  saveLabel,
  saveHint,
  missing,
  dockTop,
  beside,
  before,
  after,
  children,
  ...page
}: Props) {
  const save = (
    <PrimaryButton
      label={saveLabel}
      {...(saveHint && { hint: saveHint })}
      missing={missing}
      form={form.id}
      busy={form.busy}
    />
  )
  return (
    <ShopPage
      {...page}
      back={form.back}
      dock={
        <>
          {dockTop}
          {beside ? (
            <div class="dock-pair">
              {beside}
              {save}
            </div>
          ) : (
            save
          )}
        </>
      }
    >
      {before}
      <Form id={form.id} errors={form.errors} onSubmit={() => form.submit()}>
        {children}
      </Form>
      {after}
    </ShopPage>
  )
}
