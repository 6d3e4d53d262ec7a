-- imports_told: the imports, each with the files it brought.
-- grain    one row per import, undone ones too
-- reads    about.imports, files
-- gives    files  names of its files, a sheet after the name of its workbook;  sha256  their hashes, empty for what was written by hand
-- because  who sent what, when, in which bytes, and who undid it, is read in one place.
select i.import_id, i.taken_by, i.taken_at, i.undone_by, i.undone_at, i.rows_in, i.accepted, i.repeated, i.superseded, i.left_out, i.mapping,
       f.files, f.sha256
from about.imports i
left join (
    select import_id,
           string_agg(file || coalesce(', sheet ' || sheet, ''), '; ' order by file_id) as files,
           string_agg(sha256, '; ' order by file_id) as sha256
    from about.files group by import_id
) f on f.import_id = i.import_id
order by i.import_id desc
