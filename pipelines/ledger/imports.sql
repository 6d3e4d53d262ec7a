-- imports: who took what in, when, and what became of it.
-- grain    one row per import, undone ones too
-- reads    received.imports, received.rows
-- gives    counts of rows; those of an undone import are 0, for its rows are out of every count
-- because  an import is what is undone, so it is what is listed.
select
    i.import_id, i.taken_by, i.taken_at, i.mapping, i.undone_by, i.undone_at,
    count(r.row_id) as rows_in,
    count(r.row_id) filter (where r.fate = 'accepted') as accepted,
    count(r.row_id) filter (where r.fate = 'repeated') as repeated,
    count(r.row_id) filter (where r.fate = 'superseded') as superseded,
    count(r.row_id) filter (where r.fate = 'left_out') as left_out
from received.imports i left join received.rows r on r.import_id = i.import_id and r.fate <> 'undone'
group by i.import_id, i.taken_by, i.taken_at, i.mapping, i.undone_by, i.undone_at
order by i.import_id
