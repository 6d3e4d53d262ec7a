-- settled_rows: the codes that people gave to single rows which came without.
-- grain    one row per row that counts now and column of it that was settled
-- reads    received.rows, settled_rows
-- gives    row_id  the row that counts now under the key that was settled;  kind, column, code, settled_by, settled_at
-- because  a row is known by its key, so that what a person said outlives a correction of the row and its being sent again. The last word
--          on a row and column counts; an empty code takes back what was said.
with last_words as (
    select *, row_number() over (partition by kind, key_hash, "column" order by settled_no desc) as choice
    from received.settled_rows
)
select r.row_id, w.kind, w."column", w.code, w.settled_by, w.settled_at
from last_words w join received.rows r on r.kind = w.kind and r.key_hash = w.key_hash and r.fate = 'accepted'
where w.choice = 1 and w.code is not null
order by w.settled_no
