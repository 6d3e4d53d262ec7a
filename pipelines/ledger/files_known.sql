-- files_known: files that are in and count.
-- grain    one row per file's bytes and record kind
-- reads    received.files, received.imports; $mapping, the mapping in use (empty: none)
-- gives    sha256, kind
-- because  the same bytes read the same way say nothing new. Read with another mapping or as another kind they may: then they come in,
--          and the rows that say the same as before are repeated.
select distinct f.sha256, f.kind
from received.files f join received.imports i using (import_id)
where i.undone_at is null and coalesce(i.mapping, '') = $mapping and f.sha256 is not null
