-- match_symptoms: how often a call that shows a symptom is of a failed part, by the calls whose cause is known.
-- grain    one row per symptom; '' is a call that says none
-- reads    derived.calls_once
-- gives    part_odds  calls of a failed or struck part against calls of anything else, towed ones only
-- because  a boat that stops may have an empty tank, one that overheats weed in its intake: such a call leaves no ticket, and a job
--          days later is another's. A usual base counts as ten calls, six of them of a part (common practice, no source).
select coalesce(symptom, '') as symptom,
       (sum(case when part is not null and effect in ('failure', 'outside damage') then 1.0 else 0 end) + 6)
       / (sum(case when cause is not null and part is null then 1.0 else 0 end) + 4) as part_odds
from derived.calls_once
where coalesce(outcome, 'towed') not in ('fixed aboard', 'nothing done')
group by coalesce(symptom, '')
