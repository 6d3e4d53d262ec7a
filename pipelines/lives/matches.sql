-- matches: the ticket line of each call's breakdown.
-- grain    one row per call that is counted
-- reads    derived.calls_once, match_candidates, match_found
-- gives    score;  certainty  certain: the call names the part; or it says nothing against it and was no small thing put right aboard, the
--          job says failed and no other is nearly as good;  doubtful: a person should look;  none
-- because  a failure happened when the call came, not when the paper was written.
with rivals as (
    select c.call_row_id, max(c.score) as score
    from derived.match_candidates c
    join derived.match_found f on f.call_row_id = c.call_row_id and f.job_row_id <> c.job_row_id
    left join derived.match_found g on g.job_row_id = c.job_row_id
    where g.job_row_id is null
    group by c.call_row_id
)
select c.row_id as call_row_id, f.job_row_id as ticket_row_id, f.score,
       case when f.job_row_id is null then 'none'
            when f.settled then 'certain'
            when f.named and f.work_fits >= 0.4 then 'certain'
            when f.work_fits >= 1.0 and not f.put_right and f.days <= case when f.likely then 10 else 3 end
                 and f.score > coalesce(r.score, 0) + 0.05 then 'certain'
       else 'doubtful' end as certainty
from derived.calls_once c
left join derived.match_found f on f.call_row_id = c.row_id
left join rivals r on r.call_row_id = c.row_id
