-- package_boats: the boats as the records list them, for the data package.
-- grain    one row per listed boat
-- reads    accepted.vessels
-- gives    what boats are told apart by; no name and no column of the fleet's own, for an owner may stand there
-- because  a table elsewhere has to know what a boat's number means before it can be grouped.
select vessel_id, vessel_class, base, water, bottom, in_service_on, withdrawn_on, tickets_from_on, calls_from_on
from accepted.vessels
order by vessel_id
