-- package_left_out: what was left out, counted, for the data package.
-- grain    one row per place it was left out of, kind of record and reason
-- reads    about.left_out; derived.left_out_of_lives
-- gives    rows  rows with a fault in that column, or rows, positions and lives that nothing could be made of
-- because  a figure is read beside what it leaves out; the rows themselves hold what people wrote and stay in the ledger.
select 'records' as left_out_of, kind,
       case when coalesce("column", '') = '' then 'could not be cut into cells' else "column" end as reason,
       count(distinct row_id) as rows
from about.left_out
group by 1, 2, 3
union all
select 'lives', 'any', reason, count(*)
from derived.left_out_of_lives
group by 3
order by 1, 2, 3
