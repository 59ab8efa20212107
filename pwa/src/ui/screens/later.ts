import { later } from '../later'

/** Screens that the app starts without. Those of an area come together, when one of them is first shown or before. */
const areas = {
  asking: () => import('./asking/area'),
  clock: () => import('./clock/area'),
  customers: () => import('./customers/area'),
  dispatch: () => import('./dispatch/area'),
  find: () => import('./find/area'),
  hours: () => import('./hours/area'),
  jobs: () => import('./jobs/area'),
  machines: () => import('./machines/area'),
  messages: () => import('./messages/area'),
  owner: () => import('./owner/area'),
  pictures: () => import('./pictures/area'),
  queue: () => import('./queue/area'),
  quotes: () => import('./quotes/area'),
  session: () => import('./session/area'),
  settings: () => import('./settings/area'),
}

/**
 * Fetches every area, one after the other, so that going to a screen waits for nothing, and for no signal. What fails
 * is fetched when it is shown.
 */
export async function fetchScreens(): Promise<void> {
  for (const area of Object.values(areas)) await area().catch(() => undefined)
}

const {
  asking,
  clock,
  customers,
  dispatch,
  find,
  hours,
  jobs,
  machines,
  messages,
  owner,
  pictures,
  queue,
  quotes,
  session,
  settings,
} = areas

export const AskMore = later(() => asking().then((area) => area.AskMore))
export const RequestView = later(() => asking().then((area) => area.RequestView))
export const SendRequest = later(() => asking().then((area) => area.SendRequest))
export const AddTime = later(() => clock().then((area) => area.AddTime))
export const ChooseWork = later(() => clock().then((area) => area.ChooseWork))
export const FixTime = later(() => clock().then((area) => area.FixTime))
export const MyTime = later(() => clock().then((area) => area.MyTime))
export const Rework = later(() => clock().then((area) => area.Rework))
export const SettleTime = later(() => clock().then((area) => area.SettleTime))
export const ChangeSite = later(() => customers().then((area) => area.ChangeSite))
export const Customer = later(() => customers().then((area) => area.Customer))
export const CustomerForm = later(() => customers().then((area) => area.CustomerForm))
export const NewSite = later(() => customers().then((area) => area.NewSite))
export const AskStop = later(() => dispatch().then((area) => area.AskStop))
export const ChangeRig = later(() => dispatch().then((area) => area.ChangeRig))
export const ChangeStop = later(() => dispatch().then((area) => area.ChangeStop))
export const FailStop = later(() => dispatch().then((area) => area.FailStop))
export const HandOver = later(() => dispatch().then((area) => area.HandOver))
export const HandedOver = later(() => dispatch().then((area) => area.HandedOver))
export const MoveStop = later(() => dispatch().then((area) => area.MoveStop))
export const NewRig = later(() => dispatch().then((area) => area.NewRig))
export const OnMyWay = later(() => dispatch().then((area) => area.OnMyWay))
export const Plan = later(() => dispatch().then((area) => area.Plan))
export const Run = later(() => dispatch().then((area) => area.Run))
export const StopView = later(() => dispatch().then((area) => area.StopView))
export const Tag = later(() => dispatch().then((area) => area.Tag))
export const Trouble = later(() => dispatch().then((area) => area.Trouble))
export const UrgentCall = later(() => dispatch().then((area) => area.UrgentCall))
export const YardForm = later(() => dispatch().then((area) => area.YardForm))
export const Find = later(() => find().then((area) => area.Find))
export const Reports = later(() => hours().then((area) => area.Reports))
export const ChangeFinding = later(() => jobs().then((area) => area.ChangeFinding))
export const Complaint = later(() => jobs().then((area) => area.Complaint))
export const Job = later(() => jobs().then((area) => area.Job))
export const JobForm = later(() => jobs().then((area) => area.JobForm))
export const JobStage = later(() => jobs().then((area) => area.JobStage))
export const NewFinding = later(() => jobs().then((area) => area.NewFinding))
export const NewJob = later(() => jobs().then((area) => area.NewJob))
export const ChangeMachine = later(() => machines().then((area) => area.ChangeMachine))
export const Machine = later(() => machines().then((area) => area.Machine))
export const Meter = later(() => machines().then((area) => area.Meter))
export const NewMachine = later(() => machines().then((area) => area.NewMachine))
export const MessageSettings = later(() => messages().then((area) => area.MessageSettings))
export const WordingForm = later(() => messages().then((area) => area.WordingForm))
export const Wordings = later(() => messages().then((area) => area.Wordings))
export const OwnerView = later(() => owner().then((area) => area.OwnerView))
export const PictureView = later(() => pictures().then((area) => area.PictureView))
export const IssueView = later(() => queue().then((area) => area.IssueView))
export const Queue = later(() => queue().then((area) => area.Queue))
export const AddLine = later(() => quotes().then((area) => area.AddLine))
export const ChangeLine = later(() => quotes().then((area) => area.ChangeLine))
export const Offer = later(() => quotes().then((area) => area.Offer))
export const Quote = later(() => quotes().then((area) => area.Quote))
export const Terms = later(() => quotes().then((area) => area.Terms))
export const Told = later(() => quotes().then((area) => area.Told))
export const FirstShop = later(() => session().then((area) => area.FirstShop))
export const Member = later(() => settings().then((area) => area.Member))
export const Members = later(() => settings().then((area) => area.Members))
export const NewMember = later(() => settings().then((area) => area.NewMember))
export const NewPassword = later(() => settings().then((area) => area.NewPassword))
export const Prices = later(() => settings().then((area) => area.Prices))
export const Settings = later(() => settings().then((area) => area.Settings))
export const ShopForm = later(() => settings().then((area) => area.ShopForm))
