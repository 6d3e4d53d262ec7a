-- use_pieces: the stretches between trusted readings, cut at the ends of months.
-- grain    one row per engine, stretch and calendar month it touches
-- reads    derived.boats, calendar, clean_hours, engine_places
-- gives    hours  run in the whole stretch;  days  of the stretch in that month;  base  of the engine's last boat;  engine_no  counts
--          the engines of a base
-- because  a stretch of half a year says how much was run, not in which month; together the stretches of a base do (season_round).
with stays as (
    select s.engine_id, b.base, row_number() over (partition by s.engine_id order by s.from_on desc) as from_last
    from derived.engine_places s
    join derived.boats b on b.vessel_id = s.vessel_id
),
engines as (
    select engine_id, base, row_number() over (partition by base order by engine_id) as engine_no
    from stays
    where from_last = 1
),
stretches as (
    select engine_id, on_date as from_on, lead(on_date) over reading as to_on, lead(hours) over reading - hours as hours
    from derived.clean_hours
    window reading as (partition by engine_id order by on_date)
)
select s.engine_id, t.base, t.engine_no, s.from_on, s.hours, extract(month from c.month) as month_of_year,
       date_diff('day', greatest(s.from_on, c.month), least(s.to_on, c.next_month)) as days
from stretches s
join derived.calendar c on c.next_month > s.from_on and c.month < s.to_on
left join engines t on t.engine_id = s.engine_id
where s.to_on > s.from_on
