-- doubtful_pairs: the pairs that wait for a person, with what both rows say and where they stand.
-- grain    one row per doubtful pair, the likeliest first
-- reads    derived.doubtful_pairs; accepted.rescue_calls, service_tickets; about.rows
-- gives    the columns of derived.doubtful_pairs; ids, notes, file and line of both rows
-- because  a person judges by the words on the paper.
select d.*, c.call_id, c.called_at, c.notes as call_notes, t.ticket_id, t.line_no, t.notes as ticket_notes,
       a.file as call_file, a.line as call_line, b.file as ticket_file, b.line as ticket_line
from derived.doubtful_pairs d
join accepted.rescue_calls c on c.row_id = d.call_row_id
join accepted.service_tickets t on t.row_id = d.ticket_row_id
left join about.rows a on a.row_id = d.call_row_id
left join about.rows b on b.row_id = d.ticket_row_id
order by d.score desc, d.called_on, d.call_row_id
