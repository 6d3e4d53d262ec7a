-- meter_said: every meter reading that was written, wherever.
-- grain    one row per row that has one and names its engine
-- reads    accepted.hour_readings, rescue_calls, service_tickets
-- gives    engine_id, on_date, meter_h, row_id
-- because  a meter that stands still is told by what was written, before anything is set aside. A change of meter begins anew at 0.
select engine_id, read_on as on_date, meter_h, row_id from accepted.hour_readings where engine_id is not null and meter_h is not null
union all
select engine_id, done_on, meter_h, row_id from accepted.service_tickets where engine_id is not null and meter_h is not null
union all
select engine_id, cast(called_at as date), meter_h, row_id from accepted.rescue_calls where engine_id is not null and meter_h is not null
