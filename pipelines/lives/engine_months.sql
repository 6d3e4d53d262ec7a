-- engine_months: the hours over which calls are watched.
-- grain    one row per engine, boat and calendar month
-- reads    derived.boats, calendar, engine_places, hours_at, parameters, watches; accepted.engines
-- gives    days  watched days of that month;  engine_h  run in them, empty: unknown
-- because  a rate is events over the hours in which they would have been recorded. Hours before the call log began do not count.
with watched as (
    select s.engine_id, s.vessel_id, c.month,
           greatest(c.month, s.from_on, w.calls_from_on) as from_on,
           least(c.next_month, s.to_on, cast(p.as_of + interval 1 day as date)) as to_on
    from derived.engine_places s
    join derived.watches w on w.vessel_id = s.vessel_id
    cross join derived.parameters p
    join derived.calendar c on c.next_month > greatest(s.from_on, w.calls_from_on) and (s.to_on is null or c.month < s.to_on)
    where w.calls_from_on is not null
)
select w.engine_id, w.vessel_id, w.month,
       cast(date_diff('day', w.from_on, w.to_on) as double) as days,
       t.hours - f.hours as engine_h,
       e.engine_model, e.drive, e.fuel, b.base, b.vessel_class, b.water
from watched w
join accepted.engines e on e.engine_id = w.engine_id
join derived.boats b on b.vessel_id = w.vessel_id
left join derived.hours_at f on f.engine_id = w.engine_id and f.on_date = w.from_on
left join derived.hours_at t on t.engine_id = w.engine_id and t.on_date = w.to_on
where w.to_on > w.from_on
