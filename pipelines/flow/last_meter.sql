-- last_meter: the last reading of an engine's meter that is believed, as it was read.
-- grain    one row, or none
-- reads    derived.clean_hours; accepted.hour_readings, service_tickets, rescue_calls
-- gives    read_on, meter_h  as it stood on the meter then;  hours  since commissioning
-- because  whoever reads a meter compares it with what it showed last time, not with the hours added up across its changes.
select h.on_date as read_on, r.meter_h, h.hours
from derived.clean_hours h
join (
    select row_id, meter_h from accepted.hour_readings
    union all select row_id, meter_h from accepted.service_tickets
    union all select row_id, meter_h from accepted.rescue_calls
) r on r.row_id = h.row_id
where h.engine_id = $engine and r.meter_h is not null
order by h.on_date desc
limit 1
