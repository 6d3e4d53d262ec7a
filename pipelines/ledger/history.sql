-- history: every row that ever came in under the keys of some rows.
-- grain    one row per row that came in under one of the keys, and per asked row that has no key
-- reads    received.rows, files, imports, faults; exact_rows, those that share a key (made by `identity`); $rows, the rows asked for
-- gives    fate, the row that says the same or corrects it (of_row), the file with its hash, the import, who and when, the row as it came
-- because  a corrected row is superseded and stays readable; so does one whose import was undone.
with asked as (
    select row_id, kind, key_hash from received.rows where list_contains($rows, row_id)
),
under_key as (
    select r.row_id, r.import_id, r.file_id, r.line, r.kind, r.raw, r.key_hash, r.fate
    from received.rows r
    where r.row_id in (select row_id from asked)
       or exists (select 1 from asked a where a.kind = r.kind and a.key_hash = r.key_hash)
),
said as (
    select row_id,
           min(row_id) over (partition by kind, key_hash, key, content) as said_first,
           max(case when fate = 'accepted' then row_id end) over (partition by kind, key_hash, key) as counts_now
    from exact_rows
)
select k.row_id, k.kind, k.fate,
       case k.fate when 'repeated' then s.said_first when 'superseded' then s.counts_now end as of_row,
       x.reason as fault, f.file, f.sheet, k.line, f.sha256, k.import_id, i.taken_by, i.taken_at, i.undone_by, i.undone_at, f.header, k.raw, k.file_id
from under_key k
join received.files f on f.file_id = k.file_id
join received.imports i on i.import_id = k.import_id
left join said s on s.row_id = k.row_id
left join received.faults x on x.row_id = k.row_id
order by k.kind, k.key_hash, k.row_id
