import { named } from '../named.ts'

// Words of the cautions at a step where work can hurt somebody. They say what is usual and leave the rest to the manual.
// Common practice, except: a raised load is blocked at once (29 CFR 1910.244(a)(2)(iii)).

export const cautions = {
  gotIt: 'I have read this',
  gotItHint: 'Kept with the job. You are not asked again on this job.',
  seen: 'Cautions',
  manual: 'The manufacturer’s manual and local rules come first.',
  titles: /* @__PURE__ */ named({
    raised_machine: 'Raised machine',
    fuel: 'Fuel',
    battery: 'Battery',
    hot_coolant: 'Hot coolant',
    springs: 'Springs',
    rotating_parts: 'Blades and moving parts',
    running_engine: 'Running engine',
  }),
  texts: /* @__PURE__ */ named({
    raised_machine:
      'Hard, level ground, wheels chocked, brake set. Put stands or blocks rated for the weight under it before anyone reaches in. A jack only lifts; it doesn’t hold.',
    fuel: 'Engine cold, doors open or outdoors, no flame, heater or spark nearby. Drain into an approved can, wipe up spills and let the vapor clear before you test for spark or start it.',
    battery:
      'Cover your eyes, take off rings and watch, no flame: a charging battery gives off gas that explodes. Negative cable off first, on last.',
    hot_coolant:
      'Never open the cap, a bleeder or a hose while it’s hot or under pressure. Let it cool, then open it slowly under a thick rag. Coolant is poisonous: keep it from children and animals.',
    springs:
      'Recoil starters, idlers, brakes and lifts store energy. Let the tension off as the manual shows, stay out of its line and cover your eyes.',
    rotating_parts:
      'Key out, spark plug wires off and held away, battery disconnected on an electric machine, and wait until everything has stopped. Block the blade and wear gloves.',
    running_engine:
      'Outdoors or exhaust led off, guards on, brake set. Nobody in front, behind, near the blades, belts or chute. Sleeves and hair tied back. Stop it before you reach in.',
  }),
}
