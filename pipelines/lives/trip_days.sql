-- trip_days: what the trip log says an engine ran, day by day.
-- grain    one row per engine and day with trips
-- reads    derived.engine_places, parameters; accepted.trips
-- gives    hours  of that day's trips;  sum_h  of all trips up to that day
-- because  trips name the boat, so they speak for an engine only where it was alone aboard.
with told as (
    select t.vessel_id, cast(coalesce(t.back_at, t.out_at) as date) as on_date, t.engine_h
    from accepted.trips t cross join derived.parameters p
    where t.engine_h > 0 and t.engine_h <= 24 and cast(coalesce(t.back_at, t.out_at) as date) <= p.as_of
),
of_days as (
    select vessel_id, on_date, sum(engine_h) as hours from told group by vessel_id, on_date
),
aboard as (
    select d.vessel_id, d.on_date, min(d.hours) as hours, min(s.engine_id) as engine_id, count(*) as engines
    from of_days d
    join derived.engine_places s on s.vessel_id = d.vessel_id and s.from_on <= d.on_date and (s.to_on is null or d.on_date < s.to_on)
    group by d.vessel_id, d.on_date
),
summed as (
    select engine_id, on_date, sum(least(hours, 24)) as hours from aboard where engines = 1 group by engine_id, on_date
)
select engine_id, on_date, hours,
       sum(hours) over (partition by engine_id order by on_date rows between unbounded preceding and current row) as sum_h
from summed
