-- engine_season: how each engine is used through the year, by its own record.
-- grain    one row per engine and month of the year
-- reads    derived.hours_beside, clean_hours, calendar, engine_places, boats
-- gives    hours_per_day;  before_h  hours from 1 January to the first of that month;  year_h  hours of a whole year;
--          own_days  days of its own record in that month of the year
-- because  beyond its last reading an engine goes on at its own seasonal rate. A thin record leans on its base's season at its own level
--          (twenty days' worth), a base's on the fleet's (ninety): a boat idle all winter is not taken to run then.
with points as (
    select h.engine_id, h.on_date, h.hours from derived.clean_hours h
    union
    select b.engine_id, b.on_date,
           b.before_h + (b.after_h - b.before_h) * date_diff('day', b.before_on, b.on_date) / date_diff('day', b.before_on, b.after_on)
    from derived.hours_beside b
    join derived.calendar c on c.month = b.on_date
    where b.before_on < b.on_date and b.after_on > b.on_date
),
steps as (
    select engine_id, extract(month from on_date) as month_of_year,
           lead(hours) over point - hours as hours, date_diff('day', on_date, lead(on_date) over point) as days
    from points
    window point as (partition by engine_id order by on_date)
),
months as (
    select extract(month from m) as month_of_year, case when extract(month from m) = 2 then 28.25
                  else date_diff('day', m, cast(m + interval 1 month as date)) end as length
    from (select cast(unnest(generate_series(date '2001-01-01', date '2001-12-01', interval 1 month)) as date) as m) year_2001
),
stays as (
    select s.engine_id, b.base, row_number() over (partition by s.engine_id order by s.from_on desc) as from_last
    from derived.engine_places s
    join derived.boats b on b.vessel_id = s.vessel_id
),
own as (
    select s.engine_id, t.base, s.month_of_year, sum(s.hours) as hours, sum(s.days) as days
    from steps s
    left join stays t on t.engine_id = s.engine_id and t.from_last = 1
    where s.days > 0
    group by s.engine_id, t.base, s.month_of_year
),
of_fleet as (
    select m.month_of_year, m.length, sum(o.hours) / sum(o.days) as rate
    from months m
    left join own o on o.month_of_year = m.month_of_year
    group by m.month_of_year, m.length
),
mean_rate as (
    select sum(hours) / sum(days) as rate from own
),
of_base as (
    select o.base, o.month_of_year,
           (sum(o.hours) + 90 * coalesce(max(f.rate), max(a.rate))) / (sum(o.days) + 90) as rate
    from own o
    cross join mean_rate a
    left join of_fleet f on f.month_of_year = o.month_of_year
    group by o.base, o.month_of_year
),
expected as (
    select t.engine_id, f.month_of_year, f.length,
           coalesce(b.rate, f.rate, a.rate) as rate, a.rate as mean_rate,
           coalesce(o.hours, 0) as own_hours, coalesce(o.days, 0) as own_days
    from stays t
    cross join of_fleet f
    cross join mean_rate a
    left join of_base b on b.base = t.base and b.month_of_year = f.month_of_year
    left join own o on o.engine_id = t.engine_id and o.month_of_year = f.month_of_year
    where t.from_last = 1
),
levelled as (
    select *,
           (sum(own_hours) over (partition by engine_id) + 30 * mean_rate)
           / nullif(sum(own_days * rate) over (partition by engine_id) + 30 * mean_rate, 0) as level
    from expected
),
blended as (
    select engine_id, month_of_year, length, own_days,
           (own_hours + 20 * coalesce(level, 1) * rate) / (own_days + 20) as hours_per_day
    from levelled
)
select engine_id, month_of_year, hours_per_day, own_days,
       sum(hours_per_day * length) over (partition by engine_id order by month_of_year) - hours_per_day * length as before_h,
       sum(hours_per_day * length) over (partition by engine_id) as year_h
from blended
