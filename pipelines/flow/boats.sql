-- boats: every boat that the records know.
-- grain    one row per boat
-- reads    accepted.vessels, service_tickets, rescue_calls; derived.engine_places
-- gives    name, vessel_class, base, withdrawn_on; listed  no: only a ticket, a call or an engine names it
-- because  a boat that was never listed has a history all the same, and must be found by whoever looks for it.
select n.vessel_id, v.name, v.vessel_class, v.base, v.withdrawn_on, v.vessel_id is not null as listed
from (
    select vessel_id from accepted.vessels
    union select vessel_id from accepted.service_tickets
    union select vessel_id from accepted.rescue_calls
    union select vessel_id from derived.engine_places
) n
left join accepted.vessels v using (vessel_id)
where n.vessel_id is not null
order by v.withdrawn_on is not null, n.vessel_id
