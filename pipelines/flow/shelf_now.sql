-- shelf_now: what the ledger says now of every part on every shelf, as it was written.
-- grain    one row per part and base that counts
-- reads    held.parts; received.rows, imports
-- gives    every column of held.parts; since_on  day of the last count, or of the import
-- because  a form changes what stands now, and readers' copies may be behind.
select p.*, coalesce(try_cast(json_extract_string(p.extra, '$.shelf_on') as date), cast(i.taken_at as date)) as since_on
from received.rows r
join received.imports i on i.import_id = r.import_id
join held.parts p on p.row_id = r.row_id
where r.kind = 'parts' and r.fate = 'accepted'
order by p.part_id, p.base nulls first, p.row_id
