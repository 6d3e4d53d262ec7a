-- parts_offered: the parts to pick from when a ticket is written for one boat.
-- grain    one row per part
-- reads    accepted.catalogue; derived.positions
-- gives    component, those of the boat first, then those the fleet's records name, then the rest, each in alphabetical order
-- because  the part in hand is nearly always one that this boat is known to have.
select c.component
from accepted.catalogue c
left join (select distinct component from derived.positions where vessel_id = $boat) p on p.component = c.component
order by p.component is null, not c.named, c.component
