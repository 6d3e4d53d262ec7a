-- rows_told: rows of the ledger, whatever their kind, each in words.
-- grain    one row per row asked for that counts, the latest first
-- reads    accepted.service_tickets, rescue_calls, hour_readings; about.rows
-- gives    record  ticket, call or reading;  said  what it tells, in a few words;  file, line  where it stands
-- because  whoever doubts a count wants to read the paper it was made from.
with told as (
    select row_id, 'ticket' as record, ticket_id as record_id, done_on as on_date, vessel_id, engine_id, meter_h, notes,
           concat_ws(', ', case when component = 'uncoded' then component_as_written else component end, position,
                     case when action = 'uncoded' then action_as_written else action end, reason, finding, batch, done_by) as said
    from accepted.service_tickets
    union all
    select row_id, 'call', call_id, cast(called_at as date), vessel_id, engine_id, meter_h, notes,
           concat_ws(', ', case when symptom = 'uncoded' then symptom_as_written else symptom end,
                     case when cause = 'uncoded' then cause_as_written else cause end, outcome)
    from accepted.rescue_calls
    union all
    select row_id, 'reading', cast(null as varchar), read_on, cast(null as varchar), engine_id, meter_h, cast(null as varchar), 'hours read'
    from accepted.hour_readings
)
select t.record, t.record_id, t.on_date, t.vessel_id, t.engine_id, t.said, t.meter_h, t.notes, r.file, r.line, t.row_id
from told t
left join about.rows r on r.row_id = t.row_id
where t.row_id in (select unnest($rows))
order by t.on_date desc, t.row_id desc
