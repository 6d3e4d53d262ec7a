-- hours_set_aside: what was read off a meter and is not believed.
-- grain    one row per reading set aside
-- reads    derived.meter_believed
-- gives    meter_h  what was written;  reason  why
-- because  nothing is dropped silently: a person can put the reading right.
select engine_id, on_date, meter_h, reason, row_id
from derived.meter_believed
where reason is not null
