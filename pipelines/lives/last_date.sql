-- last_date: the last day on which anything happened.
-- grain    one row
-- reads    accepted.engine_moves, engines, hour_readings, rescue_calls, service_tickets, trips, vessels
-- gives    last_on  date
-- because  parts still running are suspended there. Withdrawals and plans may be dated ahead, so they do not count.
with happened as (
    select done_on as on_date from accepted.service_tickets
    union all select cast(called_at as date) from accepted.rescue_calls
    union all select read_on from accepted.hour_readings
    union all select cast(coalesce(back_at, out_at) as date) from accepted.trips
    union all select moved_on from accepted.engine_moves
),
begun as (
    select commissioned_on as on_date from accepted.engines
    union all select in_service_on from accepted.vessels
)
select coalesce((select max(on_date) from happened), (select max(on_date) from begun)) as last_on
