/** Vite gives the text of the style sheet. */
declare module '*.css?inline' {
  const text: string
  export default text
}
