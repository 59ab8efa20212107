import type { JSX } from 'preact'
import type { Place } from '../router'
import {
  AddLine,
  AddTime,
  AskMore,
  AskStop,
  ChangeFinding,
  ChangeLine,
  ChangeMachine,
  ChangeRig,
  ChangeSite,
  ChangeStop,
  ChooseWork,
  Complaint,
  Customer,
  CustomerForm,
  FailStop,
  Find,
  FixTime,
  HandedOver,
  HandOver,
  IssueView,
  Job,
  JobForm,
  JobStage,
  Machine,
  Member,
  Members,
  MessageSettings,
  Meter,
  MoveStop,
  MyTime,
  NewFinding,
  NewJob,
  NewMachine,
  NewMember,
  NewPassword,
  NewRig,
  NewSite,
  Offer,
  OnMyWay,
  PictureView,
  Plan,
  Prices,
  Queue,
  Quote,
  Reports,
  RequestView,
  Rework,
  Run,
  SendRequest,
  Settings,
  SettleTime,
  ShopForm,
  StopView,
  Tag,
  Terms,
  Told,
  Trouble,
  UrgentCall,
  WordingForm,
  Wordings,
  YardForm,
} from './later'
import { Nowhere } from './Nowhere'
import { SignIn } from './session/SignIn'
import { Today } from './today/Today'

/** The screen of a place. */
export function screenAt(place: Place): JSX.Element {
  switch (place.at) {
    case 'today':
      return <Today />
    case 'find':
      return <Find />
    case 'new-job':
      return <NewJob {...place} />
    case 'customer':
      return <Customer id={place.id} />
    case 'customer-edit':
      return <CustomerForm id={place.id} />
    case 'customer-site':
      return <NewSite customerId={place.id} />
    case 'customer-machine':
      return <NewMachine customerId={place.id} />
    case 'site-edit':
      return <ChangeSite id={place.id} />
    case 'machine':
      return <Machine id={place.id} />
    case 'machine-edit':
      return <ChangeMachine id={place.id} />
    case 'machine-hours':
      return <Meter id={place.id} />
    case 'job':
      return <Job id={place.id} />
    case 'job-edit':
      return <JobForm id={place.id} />
    case 'job-stage':
      return <JobStage id={place.id} />
    case 'job-complaint':
      return <Complaint jobId={place.id} />
    case 'job-finding':
      return <NewFinding jobId={place.id} />
    case 'clock':
      return <ChooseWork jobId={null} />
    case 'job-clock':
      return <ChooseWork jobId={place.id} />
    case 'job-rework':
      return <Rework jobId={place.id} />
    case 'my-time':
      return <MyTime memberId={place.memberId} />
    case 'add-time':
      return <AddTime memberId={place.memberId} />
    case 'time-fix':
      return <FixTime id={place.id} />
    case 'time-settle':
      return <SettleTime id={place.id} />
    case 'job-stop':
      return <AskStop jobId={place.id} kind={place.kind} />
    case 'run':
      return <Run id={place.id} />
    case 'run-trouble':
      return <Trouble id={place.id} />
    case 'stop':
      return <StopView id={place.id} />
    case 'stop-edit':
      return <ChangeStop id={place.id} />
    case 'stop-move':
      return <MoveStop id={place.id} />
    case 'stop-tell':
      return <OnMyWay id={place.id} />
    case 'stop-fail':
      return <FailStop id={place.id} />
    case 'stop-hand':
      return <HandOver id={place.id} />
    case 'stop-handed':
      return <HandedOver id={place.id} />
    case 'plan':
      return <Plan />
    case 'urgent':
      return <UrgentCall />
    case 'rig':
      return <ChangeRig id={place.id} />
    case 'new-rig':
      return <NewRig />
    case 'yard':
      return <YardForm />
    case 'tag':
      return <Tag />
    case 'finding-ask':
      return <AskMore id={place.id} />
    case 'quote-ask':
      return <SendRequest id={place.id} />
    case 'request':
      return <RequestView id={place.id} />
    case 'wordings':
      return <Wordings />
    case 'wording':
      return <WordingForm key={`${place.id}/${place.channel}`} {...place} />
    case 'messages':
      return <MessageSettings />
    case 'finding':
      return <ChangeFinding id={place.id} />
    case 'picture':
      return <PictureView id={place.id} />
    case 'quote':
      return <Quote id={place.id} />
    case 'quote-terms':
      return <Terms id={place.id} />
    case 'quote-offer':
      return <Offer id={place.id} />
    case 'quote-told':
      return <Told id={place.id} />
    case 'quote-add':
      return <AddLine {...place} quoteId={place.id} />
    case 'quote-line':
      return <ChangeLine quoteId={place.id} lineId={place.lineId} />
    case 'queue':
      return <Queue />
    case 'reports':
      return <Reports {...place} />
    case 'issue':
      return <IssueView id={place.id} />
    case 'settings':
      return <Settings />
    case 'prices':
      return <Prices />
    case 'members':
      return <Members />
    case 'member':
      return <Member id={place.id} />
    case 'new-member':
      return <NewMember />
    case 'password':
      return <NewPassword />
    case 'shop':
      return <ShopForm />
    case 'sign-in':
      return <SignIn />
    case 'first-shop':
    case 'nowhere':
      return <Nowhere />
  }
}
