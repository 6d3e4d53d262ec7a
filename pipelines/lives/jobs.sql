-- jobs: what was done to a part, each job once.
-- grain    one row per position, work and job
-- reads    derived.job_lines
-- gives    row_id  its first line, one with a meter reading if that day has one;  reason, finding, cause  of all its lines, the graver
--          first;  lines  how many said it;  said_fit  a first fitting
-- because  a life is ended by a job, not by a line of paper.
with lines as (
    select *,
           row_number() over (
               partition by position_no, work, job_no order by done_on, case when meter_h is null then 1 else 0 end, row_id
           ) as line_no
    from derived.job_lines
)
select position_no, work, job_no, min(case when line_no = 1 then row_id end) as row_id, min(done_on) as done_on, max(meter_h) as meter_h,
       min(carried_by) as carried_by, min(carrier_id) as carrier_id, min(component) as component,
       min(engine_id) as engine_id, min(vessel_id) as vessel_id, count(*) as lines,
       min(case when action = 'fit' then 0 else 1 end) = 0 as said_fit,
       case when max(case when reason = 'failed' then 1 end) = 1 then 'failed'
            when max(case when reason = 'condition' then 1 end) = 1 then 'condition'
            when max(case when reason = 'planned' then 1 end) = 1 then 'planned'
            when max(case when reason = 'opportunistic' then 1 end) = 1 then 'opportunistic' end as reason,
       case when max(case when finding = 'outside damage' then 1 end) = 1 then 'outside damage'
            when max(case when finding = 'failed' then 1 end) = 1 then 'failed'
            when max(case when finding = 'worn' then 1 end) = 1 then 'worn'
            when max(case when finding = 'no fault found' then 1 end) = 1 then 'no fault found'
            when max(case when finding = 'sound' then 1 end) = 1 then 'sound' end as finding,
       max(case when cause not in ('unknown', 'uncoded') then cause end) as cause
from lines
group by position_no, work, job_no
