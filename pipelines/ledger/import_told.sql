-- import_told: what became of the rows of one import.
-- grain    one row per record kind
-- reads    received.rows; $import, the import
-- gives    rows_in, accepted, repeated, superseded, left_out: counts of rows
-- because  the person who took it in is told at once, kind by kind.
select
    kind,
    count(*) as rows_in,
    count(*) filter (where fate = 'accepted') as accepted,
    count(*) filter (where fate = 'repeated') as repeated,
    count(*) filter (where fate = 'superseded') as superseded,
    count(*) filter (where fate = 'left_out') as left_out
from received.rows
where import_id = $import
group by kind
order by kind
