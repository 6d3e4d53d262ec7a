-- fates: what each row whose key was touched by an import (or by its undoing) is now.
-- grain    one row per row whose key is touched and whose fate may differ
-- reads    received.rows; $import, the import taken in or undone
-- gives    received.rows.fate
-- because  a row with the key and content of an earlier row repeats it; of the others of a key the last is accepted and the earlier
--          are superseded. Most keys have one row, so only contested keys are ranked; a row that lost and now stands alone wins.
create or replace temp table touched as
select distinct kind, key_hash from received.rows where import_id = $import and key_hash is not null;

create or replace temp table contested as
select kind, key_hash
from received.rows semi join touched using (kind, key_hash)
where fate not in ('left_out', 'undone')
group by kind, key_hash
having count(*) > 1;

create or replace temp table fates as
with told as (
    select row_id, kind, key_hash, fate,
           row_number() over (partition by kind, key_hash, content_hash order by row_id) as times
    from received.rows semi join contested using (kind, key_hash)
    where fate not in ('left_out', 'undone')
),
ranked as (
    select row_id, fate, times, max(case when times = 1 then row_id end) over (partition by kind, key_hash) as last_told from told
)
select row_id, fate as was,
       case when times > 1 then 'repeated' when row_id = last_told then 'accepted' else 'superseded' end as now
from ranked
union all
select row_id, fate as was, 'accepted' as now
from received.rows semi join touched using (kind, key_hash) anti join contested using (kind, key_hash)
where fate in ('repeated', 'superseded');

update received.rows set fate = fates.now from fates where rows.row_id = fates.row_id and fates.was <> fates.now
