-- engine_use: what is expected of each engine from now on.
-- grain    one row per engine and month of the year
-- reads    derived.engine_season; accepted.engines
-- gives    hours_per_day  expected engine hours per day in that month
-- because  what is due when depends on use. Where next season's hours are planned, the year is scaled to sum to them.
select s.engine_id, s.month_of_year,
       case when e.planned_h_next_season is null then s.hours_per_day
            when s.year_h > 0 then s.hours_per_day * e.planned_h_next_season / s.year_h
            else e.planned_h_next_season / 365.25 end as hours_per_day
from derived.engine_season s
join accepted.engines e on e.engine_id = s.engine_id
