-- calls_once: every breakdown called in, once.
-- grain    one row per call that is counted
-- reads    derived.call_lines; accepted.catalogue
-- gives    carried_by, carrier_id  of the part it names, empty: it names none or cannot be told
-- because  a call logged twice is one breakdown.
select c.row_id, c.vessel_id, c.engine_id, c.called_on, c.meter_h, c.symptom, c.cause, c.part, c.effect, c.outcome,
       case when c.part is not null then coalesce(k.carried_by, 'engine') end as carried_by,
       case when c.part is null then null when k.carried_by = 'vessel' then c.vessel_id else c.engine_id end as carrier_id
from derived.call_lines c
left join accepted.catalogue k on k.component = c.part
where c.first_row_id = c.row_id
