-- row_hours: the hours of the engine at each ticket line and call, by the meter written on it.
-- grain    one row per record row whose own meter reading is believed
-- reads    derived.meter_hours, record_engines; accepted.rescue_calls, service_tickets
-- gives    engine_id, hours
-- because  the line's own meter is the best source of its hours.
with written as (
    select t.row_id, t.done_on as on_date, t.meter_h from accepted.service_tickets t where t.meter_h is not null
    union all
    select c.row_id, cast(c.called_at as date), c.meter_h from accepted.rescue_calls c where c.meter_h is not null
),
read_hours as (
    select engine_id, on_date, meter_h, max(hours) as hours
    from derived.meter_hours
    where source <> 'commissioned'
    group by engine_id, on_date, meter_h
)
select w.row_id, r.engine_id, h.hours
from written w
join derived.record_engines r on r.row_id = w.row_id
join read_hours h on h.engine_id = r.engine_id and h.on_date = w.on_date and h.meter_h = w.meter_h
