-- fates_told: rows of other imports whose fate an import, or its undoing, has changed.
-- grain    one row per record kind
-- reads    received.rows, fates (made by fates.sql in the same transaction); $import, the import
-- gives    corrected  rows that counted and are superseded now;  restored  rows that did not count and do again
-- because  a correction is told as one, and so is what undoing it brings back.
select
    r.kind,
    count(*) filter (where f.was = 'accepted' and f.now = 'superseded') as corrected,
    count(*) filter (where f.was <> 'accepted' and f.now = 'accepted') as restored
from fates f join received.rows r using (row_id)
where r.import_id <> $import and f.was <> f.now
group by r.kind
