-- files_told: every file that was ever taken in.
-- grain    one row per file, or sheet of a workbook, of an import, the latest first
-- reads    about.files, imports
-- gives    who took it in, when, and the hash of its bytes (empty: written by hand)
-- because  whoever doubts a figure asks which file it came from, and whether it is the file they hold.
select f.import_id, f.file, f.sheet, f.kind, f.rows_in, i.taken_by, i.taken_at, i.undone_by, f.sha256
from about.files f join about.imports i using (import_id)
order by f.import_id desc, f.file_id
