/** A serial, or the number of a part or a paper: zeros with a slash. Nothing where there is none. */
export const Serial = ({ text }: { text: string | null | undefined }) =>
  text ? <span class="serial">{text}</span> : null
