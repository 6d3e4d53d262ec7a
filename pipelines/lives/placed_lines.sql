-- placed_lines: ticket lines with what carries the part, before positions.
-- grain    one row per accepted ticket line up to the last day known
-- reads    derived.record_engines; accepted.catalogue, service_tickets
-- gives    carried_by, carrier_id  the engine or boat, empty: cannot be told;  problem  why the line cannot be used, empty: it can;
--          turn_over  the old part came out (or a first one went in)
-- because  a part on an engine moves with it, a part of the boat stays.
select t.row_id, t.done_on, t.meter_h, t.component, trim(t.position) as position_named, t.place, t.action, t.reason, t.finding, t.cause,
       coalesce(c.carried_by, 'engine') as carried_by,
       case when c.carried_by = 'vessel' then r.vessel_id else r.engine_id end as carrier_id,
       r.engine_id, r.vessel_id,
       t.action in ('fit', 'renew') as turn_over,
       case when t.component = 'uncoded' then 'its component word is not coded yet'
            when t.action = 'uncoded' then 'its action word is not coded yet'
            when r.vessel_id is null then 'its engine or boat is not in the lists'
            when c.carried_by = 'vessel' or r.engine_id is not null then null
            when r.engines_aboard > 1 then 'the boat has several engines and the ticket does not say which'
            else 'the boat had no engine that day' end as problem
from accepted.service_tickets t
join derived.record_engines r on r.row_id = t.row_id
left join accepted.catalogue c on c.component = t.component
