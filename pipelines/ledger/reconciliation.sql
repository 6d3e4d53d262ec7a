-- reconciliation: what became of every row that came in.
-- grain    one row per record kind that has rows
-- reads    received.rows
-- gives    rows_in, accepted, repeated, superseded, left_out: counts of rows
-- because  rows in = accepted + repeated + superseded + left out, always; rows_in is counted by itself so that the sum can be checked.
--          The rows of an undone import are out of the count and stay readable.
select
    kind,
    count(*) as rows_in,
    count(*) filter (where fate = 'accepted') as accepted,
    count(*) filter (where fate = 'repeated') as repeated,
    count(*) filter (where fate = 'superseded') as superseded,
    count(*) filter (where fate = 'left_out') as left_out
from received.rows
where fate <> 'undone'
group by kind
order by kind
