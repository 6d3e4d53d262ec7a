-- files: the files that came in.
-- grain    one row per file, or sheet of a workbook, of an import
-- reads    received.files
-- gives    name, sheet, SHA-256, record kind, the header as a JSON list, rows, what was masked in them
-- because  a figure is traced to a row, and a row to its file; the header says what the cells of a row as it came are.
select file_id, import_id, file, sheet, sha256, kind, header, rows_in, masked_names, masked_telephones, masked_emails, masked_marks
from received.files order by file_id
