-- match_candidates: which job could be of which call's breakdown, and how well they fit.
-- grain    one row per call and job that could be the same breakdown
-- reads    derived.call_lines, calls_once, cause_symptoms, job_lines, jobs, parameters; accepted.cause_tree, settled_pairs
-- gives    score  0 to 1;  named  the call names this part;  likely  the part can show as that symptom;  put_right  the call ended without
--          a tow;  days  from call to job
-- because  the call log has no ticket number. The job is done on the same boat (and engine, where both are known) that day or some days
--          after, on the part that the call or its cause names, or one that can show as what the caller saw, by the trade's cause tree or
--          by the fleet's own calls. A part that the tree does not speak of is not ruled out. Where the call names no part, work that says
--          nothing of a failure is a candidate only for a boat that did not come home by itself.
with windows as (
    select c.*, p.match_days,
           cast(floor(date_diff('day', date '1970-01-01', c.called_on) / (p.match_days + 1)) as bigint) as bucket
    from derived.calls_once c cross join derived.parameters p
    where c.vessel_id is not null
),
spread as (
    select w.*, w.bucket + b.later as job_bucket from windows w cross join (select 0 as later union all select 1) b
),
jobs as (
    select j.*, cast(floor(date_diff('day', date '1970-01-01', j.done_on) / (p.match_days + 1)) as bigint) as job_bucket
    from derived.jobs j cross join derived.parameters p
),
shown as (
    select s.symptom, t.component
    from derived.cause_symptoms s
    join accepted.cause_tree t on t.cause = s.cause
    where t.component <> ''
    union
    select symptom, part from derived.calls_once where symptom is not null and part is not null and effect = 'failure'
),
explained as (
    select distinct component from accepted.cause_tree where component <> ''
),
never as (
    select distinct c.first_row_id as call_row_id, j.row_id as job_row_id
    from accepted.settled_pairs s
    join derived.call_lines c on c.row_id = s.call_row_id
    join derived.job_lines l on l.row_id = s.ticket_row_id
    join derived.jobs j on j.position_no = l.position_no and j.work = l.work and j.job_no = l.job_no
    where not s.same
),
pairs as (
    select c.row_id as call_row_id, j.row_id as job_row_id, c.vessel_id, c.symptom, c.cause, c.part,
           coalesce(c.outcome in ('fixed aboard', 'nothing done'), false) as put_right,
           c.match_days, j.work, j.reason, j.finding, j.cause as job_cause, j.component,
           date_diff('day', c.called_on, j.done_on) as days,
           c.engine_id is not null or j.carried_by = 'vessel' as sure_engine
    from spread c
    join jobs j on j.vessel_id = c.vessel_id and j.job_bucket = c.job_bucket
    where j.done_on >= c.called_on and date_diff('day', c.called_on, j.done_on) <= c.match_days
      and (j.carried_by = 'vessel' or c.engine_id is null or j.engine_id = c.engine_id)
),
weighed as (
    select p.*,
           p.part = p.component as named,
           s.component is not null as likely,
           case when p.part = p.component then 1.0
                when p.part is not null then 0
                when p.cause is not null and p.cause = p.job_cause then 0.9
                when p.cause is not null then 0
                when s.component is not null then 0.6
                when p.symptom is null or k.component is null then 0.4
                else 0 end as part_fits,
           case when p.work = 'renew' and (p.reason = 'failed' or p.finding in ('failed', 'outside damage')) then 1.0
                when p.work in ('repair', 'clean', 'adjust') then 0.7
                when p.finding = 'failed' or (p.work = 'renew' and p.reason = 'condition') then 0.6
                when p.work = 'renew' then 0.4
                else 0.2 end as work_fits
    from pairs p
    left join shown s on s.symptom = p.symptom and s.component = p.component
    left join explained k on k.component = p.component
)
select w.call_row_id, w.job_row_id, days, coalesce(named, false) as named, likely, put_right, sure_engine, work, work_fits,
       (0.5 * part_fits + 0.3 * work_fits + 0.2 * (1 - 0.6 * days / (match_days + 1.0)))
       * case when sure_engine then 1 else 0.9 end as score, false as settled
from weighed w
left join never n on n.call_row_id = w.call_row_id and n.job_row_id = w.job_row_id
where n.call_row_id is null and part_fits > 0
  and (part_fits >= 0.9 or work_fits >= 0.6 or (likely and work_fits >= 0.4 and not put_right))
