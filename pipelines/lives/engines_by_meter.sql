-- engines_by_meter: which engine of several aboard a ticket is about, told by the meter it shows.
-- grain    one row per ticket line of a boat with several engines that names neither engine nor place and shows the meter of one of them
-- reads    derived.engine_places, parameters; accepted.hour_readings, service_tickets
-- gives    engine_id
-- because  twins do not run the same hours: the reading a mechanic wrote down says which engine he stood at. Only where it lies within
--          12 h of what that engine's own readings of the months around foretell (another line of that day may be one), and 24 h and three
--          times as far from every other.
with said as (
    select engine_id, read_on as on_date, meter_h from accepted.hour_readings
    union all
    select engine_id, done_on, meter_h from accepted.service_tickets where engine_id is not null and meter_h is not null
),
readings as (
    select engine_id, on_date, max(meter_h) as meter_h from said group by engine_id, on_date
),
asked as (
    select t.row_id, t.done_on, t.meter_h, s.engine_id
    from accepted.service_tickets t
    cross join derived.parameters p
    join derived.engine_places s
      on s.vessel_id = t.vessel_id and s.from_on <= t.done_on and (s.to_on is null or t.done_on < s.to_on)
    where t.engine_id is null and t.place is null and t.meter_h is not null and t.done_on <= p.as_of
),
around as (
    select a.row_id, a.engine_id, a.done_on, a.meter_h,
           max(case when r.on_date <= a.done_on then r.on_date end) as before_on,
           min(case when r.on_date >= a.done_on then r.on_date end) as after_on
    from asked a
    left join readings r on r.engine_id = a.engine_id and abs(date_diff('day', r.on_date, a.done_on)) <= 100
    group by a.row_id, a.engine_id, a.done_on, a.meter_h
),
away as (
    select a.row_id, a.engine_id,
           abs(a.meter_h - b.meter_h - (f.meter_h - b.meter_h)
               * date_diff('day', a.before_on, a.done_on) / greatest(date_diff('day', a.before_on, a.after_on), 1)) as away_h
    from around a
    left join readings b on b.engine_id = a.engine_id and b.on_date = a.before_on
    left join readings f on f.engine_id = a.engine_id and f.on_date = a.after_on
),
ranked as (
    select row_id, engine_id, away_h,
           row_number() over (partition by row_id order by coalesce(away_h, 0), engine_id) as nearness,
           lead(away_h) over (partition by row_id order by coalesce(away_h, 0), engine_id) as next_h,
           count(*) over (partition by row_id) as engines, count(away_h) over (partition by row_id) as engines_read
    from away
)
select row_id, engine_id
from ranked
where nearness = 1 and engines > 1 and engines = engines_read and away_h <= 12 and next_h >= 24 and next_h >= 3 * away_h
