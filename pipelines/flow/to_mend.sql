-- to_mend: the rows that were left out, with the header they came under, and whether somebody mended them since.
-- grain    one row per row that was left out
-- reads    about.left_out, files, rows
-- gives    mended_as  the row that stands for it now; empty: it still waits
-- because  a mended row leaves the list of what waits, but what was left out stays in the account: both rows came in.
select l.row_id, l.kind, l.file, l.sheet, l.line, l."column", l.value, l.reason, l.raw, f.header, m.row_id as mended_as
from about.left_out l
join about.files f on f.file_id = l.file_id
left join (
    select file, coalesce(sheet, '') as sheet, line, max(row_id) as row_id
    from about.rows where fate <> 'left_out' group by file, coalesce(sheet, ''), line
) m on m.file = l.file || $mark and m.sheet = coalesce(l.sheet, '') and m.line = l.line
order by m.row_id is not null, l.row_id
