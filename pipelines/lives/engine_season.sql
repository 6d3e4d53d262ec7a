-- engine_season: how each engine is used through the year, by its own record.
-- grain    one row per engine and month of the year
-- reads    derived.boats, engine_places, season, use_pieces
-- gives    hours_per_day;  year_h  hours of a whole year
-- because  beyond its last reading an engine goes on at its own seasonal rate. A thin record leans on its base's season (twenty days'
--          worth) at the engine's own level, and the level on the base's (thirty days' worth): a boat idle all winter is not taken to run
--          then.
with stays as (
    select s.engine_id, b.base, row_number() over (partition by s.engine_id order by s.from_on desc) as from_last
    from derived.engine_places s
    join derived.boats b on b.vessel_id = s.vessel_id
),
shared as (
    select p.engine_id, p.month_of_year, p.days,
           p.hours * p.days * s.rate / sum(p.days * s.rate) over (partition by p.engine_id, p.from_on) as hours
    from derived.use_pieces p
    join derived.season s on s.base is not distinct from p.base and s.month_of_year = p.month_of_year
),
own as (
    select engine_id, month_of_year, sum(hours) as hours, sum(days) as days from shared group by engine_id, month_of_year
),
expected as (
    select t.engine_id, s.month_of_year, s.rate, coalesce(o.hours, 0) as own_hours, coalesce(o.days, 0) as own_days,
           case s.month_of_year when 2 then 28.25 when 4 then 30 when 6 then 30 when 9 then 30 when 11 then 30 else 31 end as length
    from stays t
    join derived.season s on s.base is not distinct from t.base
    left join own o on o.engine_id = t.engine_id and o.month_of_year = s.month_of_year
    where t.from_last = 1
),
levelled as (
    select *,
           sum(own_hours) over engine / nullif(sum(own_days * rate) over engine, 0) as own_level,
           (sum(own_hours) over engine + 30 * avg(rate) over engine)
           / (sum(own_days * rate) over engine + 30 * avg(rate) over engine) as level
    from expected
    window engine as (partition by engine_id)
),
blended as (
    select engine_id, month_of_year, length,
           case when own_level > 0 then (own_hours / own_level + 20 * rate) / (own_days + 20) * level else rate * level end as hours_per_day
    from levelled
)
select engine_id, month_of_year, hours_per_day,
       sum(hours_per_day * length) over (partition by engine_id) as year_h
from blended
