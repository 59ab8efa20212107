/** The entry of the list under More. */
export const supplierList = { title: 'Suppliers', hint: 'Where you buy parts and how you order' }
