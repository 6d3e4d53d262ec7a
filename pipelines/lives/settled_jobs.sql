-- settled_jobs: what people said of pairs, as pairs of counted call and job.
-- grain    one row per settlement whose rows are known
-- reads    derived.call_lines, job_lines, jobs, match_jobs; accepted.settled_pairs
-- gives    call_row_id, job_row_id  the rows that stand for the call and the job;  same;  latest  1 for the last word on that pair
-- because  a call may be logged twice and a job stand on three lines; what was said of one of them is said of all.
with standing as (
    select l.row_id, j.row_id as job_row_id
    from derived.job_lines l
    join derived.jobs j on j.position_no = l.position_no and j.work = l.work and j.job_no = l.job_no
    union all
    select row_id, row_id from derived.match_jobs where position_no is null
)
select call_row_id, job_row_id, same, settled_at, ticket_row_id, said_of_row_id
from (
    select c.first_row_id as call_row_id, t.job_row_id, s.same, s.settled_at, s.ticket_row_id, s.call_row_id as said_of_row_id,
           row_number() over (
               partition by c.first_row_id, t.job_row_id order by s.settled_at desc, s.call_row_id desc, s.ticket_row_id desc
           ) as choice
    from accepted.settled_pairs s
    join derived.call_lines c on c.row_id = s.call_row_id
    join standing t on t.row_id = s.ticket_row_id
) told
where choice = 1
