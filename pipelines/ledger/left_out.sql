-- left_out: rows that were left out, and why.
-- grain    one row per row that was left out
-- reads    received.rows, received.files, received.faults
-- gives    file, sheet, line; column and value of the first fault; the reason with all of them; the row as it came
-- because  each can be put right and taken in again; until then it is in no figure and is counted beside every one.
select r.row_id, r.kind, r.file_id, f.file, f.sheet, r.line, x."column", x.value, x.reason, r.raw
from received.rows r join received.files f using (file_id) join received.faults x using (row_id)
where r.fate = 'left_out'
order by r.row_id
