-- contested: rows that share the hash of their key, as far as an import or its undoing touched them.
-- grain    one row per such row that is in the count
-- reads    received.rows; touched_rows, those under a key of the import, or all of them where the import is the greater part
-- gives    the temporary table contested_rows: row_id, kind, key_hash, fate, made
-- because  only these can repeat, supersede or bring back one another; most rows share their key with none.
--          The record kind is part of what is hashed.
create or replace temp table contested as
select key_hash from touched_rows where fate not in ('left_out', 'undone') group by key_hash having count(*) > 1;

create or replace temp table contested_rows as
select row_id, kind, key_hash, fate, made
from received.rows semi join contested using (key_hash)
where fate not in ('left_out', 'undone')
