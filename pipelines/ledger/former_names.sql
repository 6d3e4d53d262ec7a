-- former_names: names that boats went by in records that have been superseded since.
-- grain    one row per boat and earlier name
-- reads    received.rows; held.vessels
-- gives    vessel_id, name
-- because  people go on calling a boat by the name it had, and old papers bear no other.
select distinct h.vessel_id, h.name
from held.vessels h join received.rows r using (row_id)
where r.fate = 'superseded' and h.name is not null
  and not exists (
    select 1 from held.vessels n join received.rows m using (row_id)
    where m.fate = 'accepted' and n.vessel_id = h.vessel_id and n.name = h.name
  )
order by h.vessel_id, h.name
