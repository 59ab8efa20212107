export { Customer } from './Customer'
export { CustomerForm } from './CustomerForm'
export { ChangeSite, NewSite } from './SiteForm'
