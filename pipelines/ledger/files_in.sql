-- files_in: what is in the ledger of one file's bytes, read the same way.
-- grain    one row per record kind
-- reads    received.files, received.imports; $sha256, the hash of the file, $mapping, the mapping in use (empty: none)
-- gives    kind, rows_in
-- because  such a file need not be read again to know that all of it is repeated.
with counted as (
    select f.kind, f.import_id, sum(f.rows_in)::bigint as rows_in
    from received.files f join received.imports i using (import_id)
    where i.undone_at is null and coalesce(i.mapping, '') = $mapping and f.sha256 = $sha256
    group by f.kind, f.import_id
)
select kind, max(rows_in) as rows_in from counted group by kind order by kind
