import { buildPath, type Route } from '../router'

interface ThumbnailProps {
  /** The screen that shows it large; left out while it is not saved. */
  to?: Route
  url: string | null
  alt: string
  /** Shown in its place while there is no image. */
  placeholder: string
  caption: string
  /** Upload status; empty when it is on the server. */
  status: string
  onLoadError: () => void
}

/** A small picture that links to the large one. */
export function Thumbnail({ to, url, alt, placeholder, caption, status, onLoadError }: ThumbnailProps) {
  const inside = (
    <>
      {url ? (
        <img src={url} alt={alt} onError={onLoadError} />
      ) : (
        <span class="placeholder">
          <span class="visually-hidden">{alt}</span>
          {placeholder}
        </span>
      )}
      {/* The picture is called by it already. */}
      {caption && <b aria-hidden="true">{caption}</b>}
      {status && <small>{status}</small>}
    </>
  )
  if (!to) return <span class="thumbnail">{inside}</span>
  return (
    <a class="thumbnail" href={buildPath(to)}>
      {inside}
    </a>
  )
}

interface FileButtonProps {
  label: string
  /** Opens the camera where there is one. */
  camera?: boolean
  multiple?: boolean
  /** The id of the `FieldError` that says why its last picture was refused. */
  errorId?: string | undefined
  /** The files it offers; pictures unless it says others. */
  accept?: string
  onFiles: (files: readonly File[]) => void
}

/** A button that takes pictures or chooses files. */
export function FileButton({ label, camera, multiple, errorId, accept, onFiles }: FileButtonProps) {
  return (
    <label class="button file-button">
      {label}
      <input
        type="file"
        accept={accept ?? 'image/*'}
        multiple={multiple}
        {...(errorId && { 'aria-invalid': true, 'aria-describedby': errorId })}
        {...(camera && { capture: 'environment' })}
        onChange={(event) => {
          const files = [...(event.currentTarget.files ?? [])]
          // Allows the same picture to be chosen again.
          event.currentTarget.value = ''
          if (files.length > 0) onFiles(files)
        }}
      />
    </label>
  )
}
