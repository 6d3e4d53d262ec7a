-- package_sources: the files that were taken in and still count, for the data package.
-- grain    one row per file and sheet of an import that was not undone
-- reads    about.files, imports
-- gives    sha256  of the file as it came
-- because  who recomputes a figure has to be able to say that it was made of these very files.
select f.file_id, f.import_id, f.file, f.sheet, f.sha256, f.kind, f.rows_in
from about.files f
join about.imports i on i.import_id = f.import_id
where i.undone_at is null
order by f.file_id
