-- job_lines: ticket lines at their position, told apart by job.
-- grain    one row per accepted ticket line that can be used
-- reads    derived.numbered_positions, placed_lines, record_engines; accepted.rescue_calls
-- gives    work  renew (fitting too) or the action;  job_no  counts the jobs of that work at that position
-- because  one job stands on three tickets. Lines of the same part and action within three days, with equal or missing hours and no call
--          between, are one; with different hours they never are: a part that fails again days after fitting is a finding.
with located as (
    select l.*, n.position_no,
           case when l.turn_over then 'renew' else l.action end as work
    from derived.placed_lines l
    join derived.numbered_positions n
      on n.carried_by = l.carried_by and n.carrier_id = l.carrier_id and n.component = l.component
     and (n.like_parts = 1 or lower(n.position) = lower(coalesce(l.position_named, l.place)))
    where l.problem is null
),
call_days as (
    select distinct r.vessel_id, cast(c.called_at as date) as on_date
    from accepted.rescue_calls c
    join derived.record_engines r on r.row_id = c.row_id
    where r.vessel_id is not null
),
days as (
    select vessel_id, done_on as on_date, 1 as line from located group by vessel_id, done_on
    union all
    select vessel_id, on_date, 0 from call_days
),
called as (
    select vessel_id, on_date, line,
           max(case when line = 0 then on_date end) over (
               partition by vessel_id order by on_date, line rows between unbounded preceding and current row
           ) as last_call_on
    from days
),
ordered as (
    select l.*, k.last_call_on,
           lag(l.done_on) over job as last_on, lag(l.meter_h) over job as last_h
    from located l
    join called k on k.vessel_id = l.vessel_id and k.on_date = l.done_on and k.line = 1
    window job as (partition by l.position_no, l.work order by l.done_on, l.row_id)
)
select *,
       sum(case when last_on is null or date_diff('day', last_on, done_on) > 3 or abs(meter_h - last_h) > 0.05 or last_call_on > last_on
                then 1 else 0 end)
           over (partition by position_no, work order by done_on, row_id rows between unbounded preceding and current row) as job_no
from ordered
