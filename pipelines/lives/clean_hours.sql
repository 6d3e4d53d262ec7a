-- clean_hours: the engine hours that are trusted.
-- grain    one row per engine and day with a trusted reading
-- reads    derived.meter_hours
-- gives    hours  engine hours since commissioning, the last value of the day
-- because  every age is a difference of two of these.
select engine_id, on_date, hours, source, row_id
from (
    select engine_id, on_date, hours, source, row_id,
           row_number() over (partition by engine_id, on_date order by reading_no desc) as from_last
    from derived.meter_hours
) readings
where from_last = 1
