import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { importBook as t } from '../../../domain/words/importBook'
import type { BookImport } from '../../../store/customerImports'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { ListItem } from '../../components/List'
import { FileButton } from '../../components/Picture'
import { Section } from '../../components/Section'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { ImportCheckResult } from './ImportCheckResult'
import { ImportColumns } from './ImportColumns'
import { type BookImportState, useBookImport } from './useBookImport'

const number = (count: number) => format.value.number(String(count))

/** The import of an address book by the owner: choose a file, see what it would do, add, undo. */
export function ImportCustomers() {
  const state = useBookImport()
  const { check, options, started, ended, busy, trouble } = state
  return (
    <ShopPage title={t.title} dock={check && <AddButton state={state} toAdd={check.to_add} />}>
      <p class="multiline" role="status">
        {busy === 'upload' ? t.reading : busy === 'check' ? t.checking : ''}
      </p>
      {trouble && (
        <div class="empty-state" role="alert">
          <b>{trouble}</b>
          <Button label={en.app.tryAgain} onPress={state.retry} />
        </div>
      )}
      {started && <StartedImport row={started} />}
      {check && !started && (
        <>
          <ImportColumns
            columns={check.columns}
            fields={check.fields}
            namesMissing={check.names_missing}
            onChange={(place, field) => state.change({ fields: { ...options.fields, [place]: field } })}
          />
          <ImportCheckResult check={check} options={options} onChange={state.change} />
        </>
      )}
      <FileChoice again={Boolean(check || started)} onFile={state.take} />
      {ended.length > 0 && <EndedImports rows={ended} onUndo={state.undo} />}
    </ShopPage>
  )
}

function AddButton({ state, toAdd }: { state: BookImportState; toAdd: number }) {
  if (toAdd === 0) return <p class="hint">{state.check?.names_missing ? t.namesMissing : t.nothing}</p>
  return (
    <PrimaryButton
      label={toAdd === 1 ? t.addOne : t.add(number(toAdd))}
      busy={state.busy !== null}
      onPress={state.start}
    />
  )
}

function FileChoice({ again, onFile }: { again: boolean; onFile: (file: File) => void }) {
  const [over, setOver] = useState(false)
  return (
    <fieldset
      aria-label={t.choose}
      class={over ? 'file-drop over' : 'file-drop'}
      onDragOver={(event) => {
        event.preventDefault()
        setOver(true)
      }}
      onDragLeave={() => setOver(false)}
      onDrop={(event) => {
        event.preventDefault()
        setOver(false)
        const [file] = event.dataTransfer?.files ?? []
        if (file) onFile(file)
      }}
    >
      {!again && <p class="multiline">{t.lead}</p>}
      <FileButton
        label={again ? t.another : t.choose}
        accept=".csv,.tsv,.txt,.vcf,.vcard,text/csv,text/vcard"
        onFiles={([file]) => file && onFile(file)}
      />
      <p class="hint">{t.drop}</p>
    </fieldset>
  )
}

function StartedImport({ row }: { row: BookImport }) {
  const running = row.state === 'running'
  return (
    <Section title={row.file_name}>
      <p role="status">
        <b>{running ? t.running(number(row.done), number(row.total)) : t.done(number(row.added))}</b>
      </p>
      {running && <progress value={row.done} max={row.total} aria-label={row.file_name} />}
      {running ? (
        <p class="hint">{t.runningHint}</p>
      ) : (
        row.left_out > 0 && <p>{t.doneLeft(number(row.left_out))}</p>
      )}
      {row.refused.length > 0 && <h3>{t.broken}</h3>}
      {row.refused.map(({ row: at, name, field, words }) => (
        <ListItem
          key={`${at} ${field}`}
          title={t.row(at, name)}
          details={t.field(t.fields[field] ?? field, words)}
        />
      ))}
    </Section>
  )
}

/** Done and undone imports; undoing one is asked twice. */
function EndedImports({ rows, onUndo }: { rows: readonly BookImport[]; onUndo: (id: string) => void }) {
  const [asked, setAsked] = useState('')
  return (
    <Section title={t.former}>
      {rows.toReversed().map((row) => (
        <div key={row.id}>
          <ListItem
            title={row.file_name}
            details={row.state === 'undone' ? t.undone : t.done(number(row.added))}
          />
          {row.state === 'done' && asked !== row.id && (
            <Button label={t.undo} onPress={() => setAsked(row.id)} />
          )}
          {row.state === 'done' && asked === row.id && (
            <ButtonRow>
              <Button label={t.undoAll(number(row.added))} onPress={() => onUndo(row.id)} />
              <Button label={t.keep} onPress={() => setAsked('')} />
            </ButtonRow>
          )}
        </div>
      ))}
    </Section>
  )
}
