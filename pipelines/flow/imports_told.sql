-- imports_told: the imports, each with the files it brought.
-- grain    one row per import, undone ones too
-- reads    about.imports, files, put_offs
-- gives    files  names of its files, a sheet after the name of its workbook, or what was put off by it;  sha256  their hashes, empty for
--          what was written by hand
-- because  who sent what, when, in which bytes, and who undid it, is read in one place.
select i.import_id, i.taken_by, i.taken_at, i.undone_by, i.undone_at, i.rows_in, i.accepted, i.repeated, i.superseded, i.left_out, i.mapping,
       coalesce(f.files, p.files) as files, f.sha256
from about.imports i
left join (
    select import_id,
           string_agg(file || coalesce(', sheet ' || sheet, ''), '; ' order by file_id) as files,
           string_agg(sha256, '; ' order by file_id) as sha256
    from about.files group by import_id
) f on f.import_id = i.import_id
left join (
    select import_id,
           string_agg(
               'put off: ' || concat_ws(' ', task, position, component, 'on', coalesce(engine_id, vessel_id)) || ' until ' || until_on,
               '; ' order by put_off_no
           ) as files
    from about.put_offs group by import_id
) p on p.import_id = i.import_id
order by i.import_id desc
