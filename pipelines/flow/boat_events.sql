-- boat_events: everything that was written down of one boat: each ticket line and each rescue call.
-- grain    one row per accepted ticket line or call, the latest first
-- reads    accepted.service_tickets, rescue_calls; derived.engine_places, matches; about.rows
-- gives    lane  called, failed, renewed or other work;  matched  the call or line of the same breakdown by its id, where certain
-- because  what was done to this boat last time is asked for before anything is done again.
with lines as (
    select t.row_id, t.ticket_id as record_id, t.line_no, t.done_on as on_date, cast(null as timestamp) as at, t.engine_id,
           case when t.finding = 'failed' or t.reason = 'failed' then 'failed'
                when t.action in ('renew', 'fit') then 'renewed'
           else 'other work' end as lane,
           case when t.component = 'uncoded' then t.component_as_written else t.component end as component,
           t.position, case when t.action = 'uncoded' then t.action_as_written else t.action end as action, t.reason, t.finding,
           cast(null as varchar) as symptom, case when t.cause = 'uncoded' then t.cause_as_written else t.cause end as cause,
           cast(null as varchar) as outcome, t.meter_h, t.done_by, t.notes
    from accepted.service_tickets t
    where t.vessel_id = $boat
       or (t.vessel_id is null and exists (
            select 1 from derived.engine_places p
            where p.vessel_id = $boat and p.engine_id = t.engine_id and p.from_on <= t.done_on
              and (p.to_on is null or t.done_on < p.to_on)))
),
calls as (
    select c.row_id, c.call_id as record_id, cast(null as varchar) as line_no, cast(c.called_at as date) as on_date, c.called_at as at,
           c.engine_id, 'called' as lane, case when c.component = 'uncoded' then c.component_as_written else c.component end as component,
           cast(null as varchar) as position, cast(null as varchar) as action, cast(null as varchar) as reason,
           cast(null as varchar) as finding, case when c.symptom = 'uncoded' then c.symptom_as_written else c.symptom end as symptom,
           case when c.cause = 'uncoded' then c.cause_as_written else c.cause end as cause, c.outcome, c.meter_h,
           cast(null as varchar) as done_by, c.notes
    from accepted.rescue_calls c
    where c.vessel_id = $boat
),
pairs as (
    select m.call_row_id as row_id, t.ticket_id as matched
    from derived.matches m join accepted.service_tickets t on t.row_id = m.ticket_row_id where m.certainty = 'certain'
    union all
    select m.ticket_row_id, c.call_id
    from derived.matches m join accepted.rescue_calls c on c.row_id = m.call_row_id where m.certainty = 'certain'
)
select e.*, p.matched, r.file, r.sheet, r.line
from (select * from lines union all select * from calls) e
left join (select row_id, min(matched) as matched from pairs group by row_id) p on p.row_id = e.row_id
left join about.rows r on r.row_id = e.row_id
order by e.on_date desc, e.row_id desc
