-- match_settled: pairs that a person said are one breakdown, as pairs of counted call and job.
-- grain    one row per pair settled with a yes
-- reads    derived.call_lines, job_lines, jobs; accepted.settled_pairs
-- gives    as match_candidates, at the best score
-- because  a person has seen more than the paper. What the yes was said of counts through the call and the job that stand for those rows.
with said as (
    select c.first_row_id as call_row_id, j.row_id as job_row_id, c.called_on, j.done_on, j.work,
           row_number() over (partition by c.first_row_id order by s.settled_at desc, s.ticket_row_id) as for_call,
           row_number() over (partition by j.row_id order by s.settled_at desc, s.call_row_id) as for_job
    from accepted.settled_pairs s
    join derived.call_lines c on c.row_id = s.call_row_id
    join derived.job_lines l on l.row_id = s.ticket_row_id
    join derived.jobs j on j.position_no = l.position_no and j.work = l.work and j.job_no = l.job_no
    where s.same
)
select call_row_id, job_row_id, date_diff('day', called_on, done_on) as days, true as named, true as likely, false as put_right,
       true as sure_engine, work, cast(1.0 as double) as work_fits, cast(1.0 as double) as score, true as settled
from said
where for_call = 1 and for_job = 1
