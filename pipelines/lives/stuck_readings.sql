-- stuck_readings: the readings, those of a meter that stood still set aside.
-- grain    one row per reading of derived.meter_readings
-- reads    derived.meter_readings, trip_days
-- gives    reason  why it is not believed; empty so far: it is
-- because  a meter that shows the same while the trip log shows five hours or more has stopped, the engine has not. A boat laid up shows
--          the same too, and there its trips agree.
with events as (
    select engine_id, on_date, 0 as turn, cast(null as bigint) as reading_no, cast(null as bigint) as segment,
           cast(null as double) as meter_h, sum_h
    from derived.trip_days
    union all
    select engine_id, on_date, 1, reading_no, segment, meter_h, null from derived.meter_readings
),
summed as (
    select engine_id, reading_no, segment, meter_h,
           coalesce(max(sum_h) over (
               partition by engine_id order by on_date, turn, reading_no rows between unbounded preceding and current row
           ), 0) as trips_h
    from events
),
stepped as (
    select *, lag(meter_h) over (partition by engine_id, segment order by reading_no) as last_h
    from summed
    where reading_no is not null
),
numbered as (
    select *,
           sum(case when last_h is null or abs(meter_h - last_h) > 0.1 then 1 else 0 end) over (
               partition by engine_id, segment order by reading_no rows between unbounded preceding and current row
           ) as run_no
    from stepped
),
stood as (
    select engine_id, reading_no, trips_h - min(trips_h) over (partition by engine_id, segment, run_no) as missed_h from numbered
)
select m.engine_id, m.segment, m.reading_no, m.on_date, m.meter_h, m.source, m.row_id, m.changed, m.turn,
       case when s.missed_h >= 5 then 'the meter stood still while the trip log shows use' else m.reason end as reason
from derived.meter_readings m
join stood s on s.engine_id = m.engine_id and s.reading_no = m.reading_no
