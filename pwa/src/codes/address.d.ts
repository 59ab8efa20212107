/** Vite gives the address under which it serves the file. */
declare module '*.wasm?url' {
  const address: string
  export default address
}
