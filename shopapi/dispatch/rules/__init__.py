"""The rules of dispatch: planning a day of rigs, and whether what is planned loads and tows.

`problem` is what everything speaks; `solve.make_plan` is the way in (services call `services.planning.plan_problem`,
which adds a clock and a second process). Behind it: `small` (exact), `model`, `search`, `teamwork` (the engine),
`check` (knows none of these), `mend` (what the engine cannot know; reasons), `replan` (a day that has begun), `travel`
(road tables), `instance` (the neutral file). Loads: `deck`, `load`, `ramp`, `tiedowns`, `cautions`, `drawing`;
`aboard` tells what stands on a deck on the road; `wording` has the words of reasons and cautions. `records`,
`states` and `meter` serve the nouns; `sheet` and `handing` lay out their paper.
"""
