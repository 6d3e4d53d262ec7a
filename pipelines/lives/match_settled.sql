-- match_settled: pairs that a person said are one breakdown.
-- grain    one row per pair settled with a yes
-- reads    derived.calls_once, match_jobs, settled_jobs
-- gives    as match_candidates, beyond all odds
-- because  a person has seen more than the paper.
with said as (
    select s.call_row_id, s.job_row_id,
           row_number() over (partition by s.call_row_id order by s.settled_at desc, s.ticket_row_id) as for_call,
           row_number() over (partition by s.job_row_id order by s.settled_at desc, s.said_of_row_id) as for_job
    from derived.settled_jobs s
    where s.same
)
select s.call_row_id, s.job_row_id, date_diff('day', c.called_on, j.done_on) as days, true as named, true as likely, false as put_right,
       j.says, j.company, cast(1000000 as double) as odds, true as settled
from said s
join derived.calls_once c on c.row_id = s.call_row_id
join derived.match_jobs j on j.row_id = s.job_row_id
where s.for_call = 1 and s.for_job = 1
