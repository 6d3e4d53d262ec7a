-- matches: the ticket line of each call's breakdown.
-- grain    one row per call that is counted
-- reads    derived.calls_once, match_candidates, match_found
-- gives    score  the chance that they are one breakdown, beside what else either could belong to;  certainty  certain, doubtful (a person
--          should look) or none
-- because  a failure happened when the call came, not when the paper was written. Only what nothing else explains nearly as well is
--          certain: seven chances in ten, for on generated fleets the chances hold, and most lie far above: of all that are certain more
--          than 98 in 100 were right. What a person settled always is.
with for_calls as (
    select c.call_row_id, sum(c.odds) as odds
    from derived.match_candidates c
    join derived.match_found f on f.call_row_id = c.call_row_id and f.job_row_id <> c.job_row_id
    left join derived.match_found g on g.job_row_id = c.job_row_id
    where g.job_row_id is null
    group by c.call_row_id
),
for_jobs as (
    select c.job_row_id, sum(c.odds) as odds
    from derived.match_candidates c
    join derived.match_found f on f.job_row_id = c.job_row_id and f.call_row_id <> c.call_row_id
    left join derived.match_found g on g.call_row_id = c.call_row_id
    where g.call_row_id is null
    group by c.job_row_id
),
weighed as (
    select f.call_row_id, f.job_row_id, f.settled,
           case when f.settled then 1.0 else f.odds / (1 + f.odds + coalesce(a.odds, 0) + coalesce(b.odds, 0)) end as chance
    from derived.match_found f
    left join for_calls a on a.call_row_id = f.call_row_id
    left join for_jobs b on b.job_row_id = f.job_row_id
)
select c.row_id as call_row_id, w.job_row_id as ticket_row_id, round(w.chance, 4) as score,
       case when w.job_row_id is null then 'none' when w.settled or w.chance >= 0.7 then 'certain' else 'doubtful' end as certainty
from derived.calls_once c
left join weighed w on w.call_row_id = c.row_id and w.chance >= 0.1
