-- calls: the rescue calls that rates are made of.
-- grain    one row per call, the same call logged twice counted once
-- reads    derived.boats, calls_once, hours_at, match_jobs, matches, row_hours, watches; accepted.cause_tree, engines, rescue_calls
-- gives    engine_h  since commissioning, empty: unknown;  cause, system, remedy  unknown stays unknown; component  named by the call or
--          its certain match
-- because  only calls within the watched time count, or a rate would have events without hours.
select c.row_id, a.call_id, c.vessel_id, c.engine_id, c.called_on, cast(date_trunc('month', c.called_on) as date) as month,
       coalesce(m.hours, h.hours) as engine_h,
       coalesce(c.symptom, nullif(a.symptom, 'unknown'), 'unknown') as symptom,
       coalesce(c.cause, a.cause, 'unknown') as cause,
       coalesce(t.system, 'unknown') as system,
       coalesce(t.remedy, 'unknown') as remedy,
       coalesce(c.part, j.component) as component,
       a.outcome, a.downtime_h, a.cost,
       coalesce(e.engine_model, b.engine_model) as engine_model, coalesce(e.drive, b.drive) as drive, coalesce(e.fuel, b.fuel) as fuel,
       b.base, b.vessel_class, b.water
from derived.calls_once c
join accepted.rescue_calls a on a.row_id = c.row_id
join derived.boats b on b.vessel_id = c.vessel_id
join derived.watches w on w.vessel_id = c.vessel_id
left join accepted.cause_tree t on t.cause = coalesce(c.cause, a.cause)
left join derived.matches x on x.call_row_id = c.row_id and x.certainty = 'certain'
left join derived.match_jobs j on j.row_id = x.ticket_row_id
left join accepted.engines e on e.engine_id = c.engine_id
left join derived.hours_at h on h.engine_id = c.engine_id and h.on_date = c.called_on
left join derived.row_hours m on m.row_id = c.row_id and m.engine_id = c.engine_id
where c.called_on >= w.calls_from_on and (b.withdrawn_on is null or c.called_on <= b.withdrawn_on)
