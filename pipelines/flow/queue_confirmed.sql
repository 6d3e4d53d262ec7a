-- queue_confirmed: codes that people gave to rows which came without.
-- grain    one row per row and column
-- reads    accepted.settled_rows
-- gives    code, who and when; the latest first
-- because  what a person said can be looked up and taken back.
select row_id, kind, "column", code, settled_by, settled_at from accepted.settled_rows order by settled_at desc, row_id, "column"
