-- boat_hours: every reading of the hour meters of a boat's engines, those that are believed and those set aside.
-- grain    one row per engine and day with a trusted reading, and one per reading set aside
-- reads    derived.clean_hours, hours_set_aside, engine_places; about.rows
-- gives    hours  since commissioning, or as written where it is set aside;  used;  said  where it was read, or why it was set aside
-- because  whoever trusts an age must see the readings it comes from, and above all those it does not come from.
select h.engine_id, h.on_date, h.hours, h.used, h.said, r.file, r.sheet, r.line, h.row_id
from (
    select engine_id, on_date, hours, true as used, source as said, row_id from derived.clean_hours
    union all
    select engine_id, on_date, meter_h, false, reason, row_id from derived.hours_set_aside
) h
left join about.rows r on r.row_id = h.row_id
where h.engine_id in (select engine_id from derived.engine_places where vessel_id = $boat)
order by h.engine_id, h.on_date, h.used desc
