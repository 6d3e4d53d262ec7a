-- hours_beside: the trusted readings on either side of each day wanted.
-- grain    one row per engine and day of derived.hours_wanted
-- reads    derived.clean_hours, hours_wanted, trip_hours
-- gives    before_on, before_h  the last reading (or day of trips) on or before that day;  after_on, after_h  the first on or after it;
--          by_trips  before_h is told by the trip log
-- because  one pass over both, sorted by day, is as fast as any other way and runs on every engine.
with both_kinds as (
    select engine_id, on_date, 0 as wanted, on_date as read_on, hours, 0 as by_trips from derived.clean_hours
    union all
    select t.engine_id, t.on_date, 0, t.on_date, t.hours, 1
    from derived.trip_hours t
    left join derived.clean_hours c on c.engine_id = t.engine_id and c.on_date = t.on_date
    where c.engine_id is null
    union all
    select engine_id, on_date, 1, null, null, null from derived.hours_wanted
),
looked_up as (
    select engine_id, on_date, wanted,
           last_value(read_on ignore nulls) over up_to as before_on, last_value(hours ignore nulls) over up_to as before_h,
           last_value(by_trips ignore nulls) over up_to = 1 as by_trips,
           first_value(read_on ignore nulls) over from_then as after_on, first_value(hours ignore nulls) over from_then as after_h
    from both_kinds
    window up_to as (partition by engine_id order by on_date, wanted rows between unbounded preceding and current row),
           from_then as (partition by engine_id order by on_date, wanted rows between current row and unbounded following)
)
select engine_id, on_date, before_on, before_h,
       case when before_on = on_date then before_on else after_on end as after_on,
       case when before_on = on_date then before_h else after_h end as after_h,
       coalesce(by_trips, false) as by_trips
from looked_up
where wanted = 1
