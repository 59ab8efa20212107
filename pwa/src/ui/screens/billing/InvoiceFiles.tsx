import type { Invoice } from '../../../domain/contract'
import { invoiceFiles as t } from '../../../domain/words/invoices'
import { type InvoiceFile, readInvoiceFile } from '../../../store/invoiceFiles'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { Section } from '../../components/Section'
import { saveFile } from '../../saveFile'
import { showToast } from '../../toast'

const FILES = Object.keys(t.files) as InvoiceFile[]

/** An issued invoice as files for other programs; Factur-X once its PDF is made. */
export function InvoiceFiles({ row }: { row: Invoice }) {
  if (row.number === null || !permissions.value.has('bill')) return null
  const files = FILES.filter((file) => file === 'ubl' || row.pdf.state === 'ready')
  return (
    <Section title={t.title} hint={t.hint}>
      <ButtonRow stacked>
        {files.map((file) => (
          <Button key={file} wide label={t.files[file]} onPress={() => void save(row, file)} />
        ))}
      </ButtonRow>
    </Section>
  )
}

async function save(row: Invoice, file: InvoiceFile): Promise<void> {
  const answer = await readInvoiceFile(row.id, file)
  if ('value' in answer) saveFile(`${row.number}-${file}.${file === 'ubl' ? 'xml' : 'pdf'}`, answer.value)
  else showToast(answer.words || t.noSignal)
}
