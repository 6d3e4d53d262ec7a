-- shelf_forms: the import by which a form changed the shelf.
-- grain    one row per row of that form that counts or counted
-- reads    received.rows, files; held.parts; $form, the form's id; $source, what stands in place of a file name
-- gives    import_id
-- because  two touches on a button are one change, even if a later one has followed; a form that was taken back may be kept again.
select r.import_id
from received.rows r
join received.files f using (file_id)
join held.parts p on p.row_id = r.row_id
where r.kind = 'parts' and r.fate in ('accepted', 'superseded') and f.file = $source
  and json_extract_string(p.extra, '$.shelf_form') = $form
