import type { CommandName } from '../domain/commands'
import { born, edit, type Replays } from './made'

export type WorkCommands = Extract<
  CommandName,
  `${string}_${'customer' | 'site' | 'machine' | 'meter' | 'job' | 'complaint' | 'finding' | 'attachment'}`
>

export const workReplays: Replays<WorkCommands> = {
  add_customer: (world, args, made) =>
    world.put('customer', {
      ...born(world, 'customer', args.id, made),
      person: '',
      phone: '',
      email: '',
      address: '',
      notes: '',
      tax_exempt: false,
      exempt_reason: '',
      archived: false,
      ...args,
    }),
  edit_customer: (world, args, made) => edit(world, 'customer', args.id, args.set, made),
  remove_customer: (world, args, made) => edit(world, 'customer', args.id, { archived: true }, made),

  add_site: (world, args, made) =>
    world.put('site', {
      ...born(world, 'site', args.id, made),
      address: '',
      lat: null,
      lon: null,
      access_notes: '',
      ...args,
    }),
  edit_site: (world, args, made) => edit(world, 'site', args.id, args.set, made),
  remove_site: (world, args) => world.drop('site', args.id),

  add_machine: (world, args, made) =>
    world.put('machine', {
      ...born(world, 'machine', args.id, made),
      make: '',
      model: '',
      serial: '',
      year: null,
      engine_make: '',
      engine_model: '',
      engine_serial: '',
      tag: '',
      notes: '',
      archived: false,
      mass_kg: null,
      length_cm: null,
      width_cm: null,
      height_cm: null,
      wheelbase_cm: null,
      clearance_cm: null,
      tie_points: null,
      ...args,
    }),
  edit_machine: (world, args, made) => edit(world, 'machine', args.id, args.set, made),
  remove_machine: (world, args, made) => edit(world, 'machine', args.id, { archived: true }, made),
  record_meter: (world, { new_segment, ...args }, made) => {
    const before = world
      .where('meter_reading', 'machine_id', args.machine_id)
      .filter((reading) => reading.id !== args.id)
      .reduce((most, reading) => Math.max(most, reading.segment), 0)
    const segment = new_segment ? before + 1 : Math.max(before, 1)
    world.put('meter_reading', {
      ...born(world, 'meter_reading', args.id, made),
      ...args,
      segment: world.get('meter_reading', args.id)?.segment ?? segment,
      noted_by_id: made.member_id,
    })
  },

  open_job: (world, args, made) => {
    const known = world.get('job', args.id)
    world.put('job', {
      ...born(world, 'job', args.id, made),
      number: known?.number ?? null,
      site_id: null,
      stage: known?.stage ?? 'intake',
      promised_on: null,
      notes: '',
      waits_on: known?.waits_on ?? [],
      opened_at: made.at,
      ...args,
    })
  },
  edit_job: (world, args, made) => edit(world, 'job', args.id, args.set, made),
  move_job: (world, args, made) => edit(world, 'job', args.id, { stage: args.stage }, made),
  add_complaint: (world, args, made) =>
    world.put('complaint', {
      ...born(world, 'complaint', args.id, made),
      happens_when: '',
      taken_by_id: made.member_id,
      ...args,
    }),
  record_finding: (world, args, made) =>
    world.put('finding', {
      ...born(world, 'finding', args.id, made),
      consequence: '',
      decided: world.get('finding', args.id)?.decided ?? 'open',
      found_by_id: made.member_id,
      again_of_id: null,
      ...args,
    }),
  edit_finding: (world, args, made) => edit(world, 'finding', args.id, args.set, made),
  remove_finding: (world, args) => world.drop('finding', args.id),

  add_attachment: (world, args, made) => {
    // What the server has made of it already is not put back to the beginning.
    const known = world.get('attachment', args.id)
    world.put('attachment', {
      ...born(world, 'attachment', args.id, made),
      state: 'waiting',
      reason: '',
      width: null,
      height: null,
      added_by_id: made.member_id,
      ...known,
      caption: '',
      ...args,
    })
  },
  edit_attachment: (world, args, made) => edit(world, 'attachment', args.id, args.set, made),
  remove_attachment: (world, args) => world.drop('attachment', args.id),
}
