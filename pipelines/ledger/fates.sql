-- fates: what each row whose key was touched by an import (or by its undoing) is now.
-- grain    one row per row whose key is touched and whose fate may differ
-- reads    received.rows, exact_rows (the key and content of contested rows, value by value; made by `identity`); $import
-- gives    received.rows.fate
-- because  a row with the key and content of an earlier row repeats it; of the others of a key the last is accepted and the earlier
--          are superseded. Most keys have one row, so only rows whose hash is shared are looked at; those are compared value by value.
create or replace temp table fates as
with told as (
    select row_id, kind, key_hash, key, fate, row_number() over (partition by kind, key_hash, key, content order by row_id) as times
    from exact_rows
),
ranked as (
    select row_id, fate, times, max(case when times = 1 then row_id end) over (partition by kind, key_hash, key) as last_told from told
)
select row_id, fate as was,
       case when times > 1 then 'repeated' when row_id = last_told then 'accepted' else 'superseded' end as now
from ranked
union all
select row_id, fate as was, 'accepted' as now
from received.rows
where fate in ('repeated', 'superseded')
  and key_hash in (select key_hash from received.rows where import_id = $import and fate = 'undone')
  and row_id not in (select row_id from contested_rows);

update received.rows set fate = fates.now from fates where rows.row_id = fates.row_id and fates.was <> fates.now
