/** The example is typed in the shop's currency: "12.50", "1250" or "1.250". */
export const amountWords = { bad: (example: string) => `Enter an amount, such as ${example}` }
