-- season_calendar: the hours an engine would have run by each month if every year were like its usual one.
-- grain    one row per engine and month of derived.calendar
-- reads    derived.calendar, engine_season
-- gives    hours_per_day in that month;  before_h  hours from the first month to the first day of this one
-- because  a difference of two such figures says how a stretch of time is used, whatever months it spans.
select s.engine_id, c.month, s.hours_per_day,
       sum(s.hours_per_day * date_diff('day', c.month, c.next_month)) over (partition by s.engine_id order by c.month)
       - s.hours_per_day * date_diff('day', c.month, c.next_month) as before_h
from derived.calendar c
join derived.engine_season s on s.month_of_year = extract(month from c.month)
