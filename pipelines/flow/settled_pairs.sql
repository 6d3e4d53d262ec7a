-- settled_pairs: what people said of pairs of call and ticket line.
-- grain    one row per settled pair whose rows count now, the latest first
-- reads    accepted.rescue_calls, service_tickets, settled_pairs
-- gives    rows, ids, same, who, when and why
-- because  what was said can be looked up and said otherwise.
select s.call_row_id, s.ticket_row_id, c.call_id, c.vessel_id, c.called_at, t.ticket_id, t.line_no, t.done_on, t.component,
       s.same, s.settled_by, s.settled_at, s.because
from accepted.settled_pairs s
join accepted.rescue_calls c on c.row_id = s.call_row_id
join accepted.service_tickets t on t.row_id = s.ticket_row_id
order by s.settled_at desc, s.call_row_id
