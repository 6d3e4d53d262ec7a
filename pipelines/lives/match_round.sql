-- match_round: the pairs found after one more round.
-- grain    one row per call and job that belong together
-- reads    derived.match_candidates, match_found (the rounds before; at first what people settled)
-- gives    the pairs found so far and those that are each other's best among what is left
-- because  one breakdown has one call and one job. Each other's best first, then again with the rest, is one-to-one.
with left_over as (
    select c.*
    from derived.match_candidates c
    left join derived.match_found f on f.call_row_id = c.call_row_id
    left join derived.match_found g on g.job_row_id = c.job_row_id
    where f.call_row_id is null and g.job_row_id is null
),
ranked as (
    select *,
           row_number() over (partition by call_row_id order by odds desc, days, job_row_id) as for_call,
           row_number() over (partition by job_row_id order by odds desc, days, call_row_id) as for_job
    from left_over
)
select call_row_id, job_row_id, days, named, likely, put_right, says, company, odds, settled from derived.match_found
union all
select call_row_id, job_row_id, days, named, likely, put_right, says, company, odds, settled
from ranked
where for_call = 1 and for_job = 1
