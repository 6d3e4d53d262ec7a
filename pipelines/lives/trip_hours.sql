-- trip_hours: engine hours on days of trips, where the trip log covers what the meter shows.
-- grain    one row per engine and day with trips
-- reads    derived.clean_hours, trip_days
-- gives    hours  since commissioning
-- because  between two readings the trip log says on which days the hours were run, and beyond the last how many there were, but only where
--          its hours come to what the meters say (four fifths to five quarters): a log with gaps would be worse than the season.
with events as (
    select engine_id, on_date, 1 as is_reading, hours, cast(null as double) as sum_h from derived.clean_hours
    union all
    select engine_id, on_date, 0, null, sum_h from derived.trip_days
),
summed as (
    select engine_id, on_date, is_reading, hours,
           coalesce(max(sum_h) over (
               partition by engine_id order by on_date, is_reading rows between unbounded preceding and current row
           ), 0) as trips_h
    from events
),
readings as (
    select engine_id, on_date, hours, trips_h,
           lead(on_date) over reading as next_on, lead(hours) over reading - hours as gained_h,
           lead(trips_h) over reading - trips_h as tripped_h
    from summed
    where is_reading = 1
    window reading as (partition by engine_id order by on_date)
),
logs as (
    select engine_id, sum(gained_h) / nullif(sum(tripped_h), 0) as ratio, count(*) as stretches
    from readings
    where gained_h between 0.8 * tripped_h and 1.25 * tripped_h and tripped_h > 1
    group by engine_id
),
gaps as (
    select engine_id, count(*) as stretches from readings where gained_h > 1 group by engine_id
),
scaled as (
    select r.engine_id, r.on_date as from_on, r.next_on, r.hours as from_h, r.trips_h as from_trips_h,
           case when r.next_on is null
                then case when l.stretches >= 3 and l.stretches >= 0.8 * g.stretches then l.ratio end
                when r.tripped_h > 1 and r.gained_h between 0.8 * r.tripped_h and 1.25 * r.tripped_h then r.gained_h / r.tripped_h
                end as per_trip_h
    from readings r
    left join logs l on l.engine_id = r.engine_id
    left join gaps g on g.engine_id = r.engine_id
),
looked_up as (
    select engine_id, on_date, trips_h, is_reading,
           max(case when is_reading = 1 then on_date end) over (
               partition by engine_id order by on_date, is_reading rows between unbounded preceding and current row
           ) as from_on
    from summed
)
select t.engine_id, t.on_date, s.from_h + (t.trips_h - s.from_trips_h) * s.per_trip_h as hours
from looked_up t
join scaled s on s.engine_id = t.engine_id and s.from_on = t.from_on
where t.is_reading = 0 and t.on_date > s.from_on and s.per_trip_h is not null
