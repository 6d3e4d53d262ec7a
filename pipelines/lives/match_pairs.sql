-- match_pairs: which job could be of which call's breakdown.
-- grain    one row per call and job that could be the same breakdown
-- reads    derived.calls_once, match_jobs, match_rates, match_shown, match_symptoms, parameters; accepted.rescue_calls
-- gives    named  call and job name the same part or cause;  likely  the part can show as that symptom;  put_right  the call ended without
--          a tow;  says, company  of the job;  days  from call to job, delay those from 4 on together, delay_days how many days that is;
--          part_odds  that a call with this symptom is of a part;  mechanical  the call says that much;
--          jobs_like_it  other jobs that would have fitted as well;  hours_agree  dated days later, the meter shows the call's hours
-- because  the call log has no ticket number. The job is done on the same boat (and engine, where both are known) that day or some days
--          after, on the part that the call or its cause names, or one that can show as what the caller saw.
with windows as (
    select c.*, p.match_days, coalesce(a.cause = 'mechanical, not further stated', false) as mechanical,
           coalesce(c.outcome in ('fixed aboard', 'nothing done'), false) as put_right,
           cast(floor(date_diff('day', date '1970-01-01', c.called_on) / (p.match_days + 1)) as bigint) as bucket
    from derived.calls_once c
    join accepted.rescue_calls a on a.row_id = c.row_id
    cross join derived.parameters p
    where c.vessel_id is not null
),
spread as (
    select w.*, w.bucket + b.later as job_bucket from windows w cross join (select 0 as later union all select 1) b
),
jobs as (
    select j.*, cast(floor(date_diff('day', date '1970-01-01', j.done_on) / (p.match_days + 1)) as bigint) as job_bucket
    from derived.match_jobs j cross join derived.parameters p
),
of_symptoms as (
    select s.symptom, r.says, r.company, sum(r.jobs) as jobs
    from derived.match_shown s
    join derived.match_rates r on r.component = s.component
    group by s.symptom, r.says, r.company
),
pairs as (
    select c.row_id as call_row_id, j.row_id as job_row_id, c.put_right, c.mechanical, c.match_days, c.part, c.cause,
           coalesce(c.symptom, '') as symptom, j.says, j.company, j.component, j.cause as job_cause,
           date_diff('day', c.called_on, j.done_on) as days,
           c.engine_id is not null or j.carried_by = 'vessel' as sure_engine,
           coalesce(abs(j.meter_h - c.meter_h) <= 4, false) as same_hours
    from spread c
    join jobs j on j.vessel_id = c.vessel_id and j.job_bucket = c.job_bucket
    where j.done_on >= c.called_on and date_diff('day', c.called_on, j.done_on) <= c.match_days
      and (j.carried_by = 'vessel' or c.engine_id is null or j.engine_id is null or j.engine_id = c.engine_id)
)
select p.call_row_id, p.job_row_id, p.days, least(p.days, 4) as delay,
       case when p.days < 4 then 1 else greatest(p.match_days - 3, 1) end as delay_days,
       coalesce(p.part = p.component, p.cause = p.job_cause, false) as named, coalesce(s.likely, false) as likely,
       p.put_right, p.mechanical, coalesce(y.part_odds, 1.5) as part_odds,
       p.says, p.company, p.sure_engine, p.same_hours and p.days > 3 as hours_agree, r.per_day,
       case when p.part is not null or p.cause is not null then r.jobs else o.jobs end - 0.5 as jobs_like_it
from pairs p
join derived.match_rates r on r.component = p.component and r.says = p.says and r.company = p.company
left join derived.match_shown s on s.symptom = p.symptom and s.component = p.component
left join derived.match_symptoms y on y.symptom = p.symptom
left join of_symptoms o on o.symptom = p.symptom and o.says = p.says and o.company = p.company
where p.part = p.component or (p.part is null and p.cause = p.job_cause)
   or (p.part is null and p.cause is null and s.component is not null)
