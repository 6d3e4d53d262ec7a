-- meter_readings: everything that was ever read off an hour meter, in the order it was read.
-- grain    one row per engine, day and value
-- reads    derived.parameters, record_engines; accepted.engines, hour_readings, rescue_calls, service_tickets
-- gives    segment  counts the meters of an engine as far as changes were told;  reading_no  order within the engine; turn  -1
--          commissioning, 0 before a change that day, 1 the old meter, 2 the new one, 3 after; changed  the first reading of a new meter;
--          reason  why it is not believed, empty so far
-- because  a reading and a change on one day must be told apart, by which of the two meters the value lies nearer.
with raw as (
    select e.engine_id, e.commissioned_on as on_date, coalesce(e.commissioned_h, 0) as meter_h, 'commissioned' as source,
           cast(null as bigint) as row_id, false as changed, -1 as turn
    from accepted.engines e cross join derived.parameters p
    where e.commissioned_on <= p.as_of
    union all
    select h.engine_id, h.read_on, h.meter_h, 'reading', h.row_id, coalesce(h.meter_changed, false),
           case when h.meter_changed then 2 else 0 end
    from accepted.hour_readings h cross join derived.parameters p
    where h.read_on <= p.as_of
    union all
    select h.engine_id, h.read_on, h.old_meter_h, 'reading', h.row_id, false, 1
    from accepted.hour_readings h cross join derived.parameters p
    where h.read_on <= p.as_of and h.meter_changed and h.old_meter_h is not null
    union all
    select r.engine_id, t.done_on, t.meter_h, 'ticket', t.row_id, false, 0
    from accepted.service_tickets t
    join derived.record_engines r on r.row_id = t.row_id
    where t.meter_h is not null and r.engine_id is not null
    union all
    select r.engine_id, cast(c.called_at as date), c.meter_h, 'call', c.row_id, false, 0
    from accepted.rescue_calls c
    join derived.record_engines r on r.row_id = c.row_id
    where c.meter_h is not null and r.engine_id is not null
),
known as (
    select raw.* from raw join accepted.engines e on e.engine_id = raw.engine_id
),
changes as (
    select engine_id, read_on as on_date, min(meter_h) as new_h, max(old_meter_h) as old_h
    from accepted.hour_readings
    where meter_changed
    group by engine_id, read_on
),
placed as (
    select k.engine_id, k.on_date, k.meter_h, k.source, k.row_id, k.changed,
           case when k.turn <> 0 or c.new_h is null then k.turn
                when c.old_h is null then case when k.meter_h <= c.new_h + 24 then 3 else 0 end
                when abs(k.meter_h - c.new_h) < abs(k.meter_h - c.old_h) then 3
                else 0 end as turn
    from known k
    left join changes c on c.engine_id = k.engine_id and c.on_date = k.on_date
),
ranked as (
    select engine_id, on_date, meter_h, turn, source, row_id,
           max(case when changed then 1 else 0 end) over (partition by engine_id, on_date, meter_h, turn) as changed,
           row_number() over (
               partition by engine_id, on_date, meter_h, turn
               order by case source when 'commissioned' then 0 when 'reading' then 1 when 'ticket' then 2 else 3 end, row_id
           ) as choice
    from placed
)
select engine_id,
       sum(changed) over read_order as segment,
       row_number() over read_order as reading_no,
       on_date, meter_h, source, row_id, changed = 1 as changed, turn, cast(null as varchar) as reason
from ranked
where choice = 1
window read_order as (
    partition by engine_id order by on_date, turn, meter_h, row_id rows between unbounded preceding and current row
)
