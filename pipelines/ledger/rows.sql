-- rows: where each row stands that counts in the reconciliation.
-- grain    one row per row of an import that was not undone
-- reads    received.rows, received.files
-- gives    file, sheet, line, fate
-- because  whatever a figure was made from can be shown as file and line.
select r.row_id, r.kind, r.import_id, r.file_id, f.file, f.sheet, r.line, r.fate
from received.rows r join received.files f using (file_id)
where r.fate <> 'undone'
order by r.row_id
