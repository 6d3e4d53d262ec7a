-- match_shown: which parts can be behind what a caller saw.
-- grain    one row per symptom and component; symptom '' is a call that says none
-- reads    derived.calls_once, cause_symptoms, match_jobs; accepted.cause_tree
-- gives    likely  the trade's cause tree or the fleet's own calls show it;  false: the tree does not speak of that part, so it is not
--          ruled out
-- because  a part that the tree knows and never shows as that symptom belongs to another story.
with known as (
    select s.symptom, t.component
    from derived.cause_symptoms s
    join accepted.cause_tree t on t.cause = s.cause
    where t.component <> ''
    union
    select symptom, part from derived.calls_once where symptom is not null and part is not null and effect = 'failure'
),
seen as (
    select distinct symptom from derived.calls_once where symptom is not null
),
worked_on as (
    select distinct component from derived.match_jobs
),
explained as (
    select distinct component from accepted.cause_tree where component <> ''
)
select k.symptom, k.component, true as likely from known k join seen s on s.symptom = k.symptom
union all
select s.symptom, w.component, false
from seen s
cross join worked_on w
left join explained e on e.component = w.component
left join known k on k.symptom = s.symptom and k.component = w.component
where e.component is null and k.component is null
union all
select '', w.component, false from worked_on w
