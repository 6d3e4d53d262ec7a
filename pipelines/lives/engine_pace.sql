-- engine_pace: how fast an engine's hours can rise.
-- grain    one row per engine
-- reads    derived.meter_readings; accepted.engines
-- gives    peak_h_per_day  what nine in ten of its stretches between readings stay under, the busiest of the fleet where it has under five,
--          else 3; short_limit, long_limit  engine hours per day not believed over less, or more, than a month
-- because  no engine runs 24 hours a day for long, and none for months at four times its own busiest.
with steps as (
    select engine_id,
           meter_h - lag(meter_h) over reading as gained_h,
           date_diff('day', lag(on_date) over reading, on_date) as days
    from derived.meter_readings
    window reading as (partition by engine_id, segment order by reading_no)
),
rates as (
    select engine_id, gained_h / days as rate
    from steps
    where days >= 3 and gained_h > 0 and gained_h <= 24 * days
),
ranked as (
    select engine_id, rate, cume_dist() over (partition by engine_id order by rate) as share from rates
),
own as (
    select engine_id, count(*) as stretches, max(case when share <= 0.9 then rate end) as peak from ranked group by engine_id
),
busiest as (
    select max(peak) as peak
    from (select peak, cume_dist() over (order by peak) as share from own where stretches >= 5) peaks
    where share <= 0.95
),
paced as (
    select e.engine_id, coalesce(o.stretches, 0) as stretches,
           coalesce(case when o.stretches >= 5 then o.peak end, b.peak, 3.0) as peak
    from accepted.engines e
    cross join busiest b
    left join own o on o.engine_id = e.engine_id
)
select engine_id, stretches, peak as peak_h_per_day,
       least(24.0, greatest(12.0, 4 * peak)) as short_limit,
       least(24.0, greatest(2.0, 4 * peak)) as long_limit
from paced
