-- settled_pairs: what people said of a call and a ticket line: one breakdown, or not.
-- grain    one row per call and ticket line that count now and were settled
-- reads    received.rows, settled_pairs
-- gives    call_row_id, ticket_row_id  the rows that count now under the keys that were settled;  same, settled_by, settled_at, because
-- because  the rows are known by their keys, so that a settlement outlives a correction, a row sent again and the undoing of either. The
--          last word on a pair counts, and of two yeses for one call or one line the later one: a breakdown has one call and one job.
with last_words as (
    select *, row_number() over (partition by call_key, ticket_key order by settled_no desc) as choice
    from received.settled_pairs
),
standing as (
    select w.settled_no, c.row_id as call_row_id, t.row_id as ticket_row_id, w.same, w.settled_by, w.settled_at, w.because,
           row_number() over (partition by w.call_key, w.same order by w.settled_no desc) as of_call,
           row_number() over (partition by w.ticket_key, w.same order by w.settled_no desc) as of_ticket
    from last_words w
    join received.rows c on c.kind = 'rescue_calls' and c.key_hash = w.call_key and c.fate = 'accepted'
    join received.rows t on t.kind = 'service_tickets' and t.key_hash = w.ticket_key and t.fate = 'accepted'
    where w.choice = 1
)
select call_row_id, ticket_row_id, same, settled_by, settled_at, because
from standing
where not same or (of_call = 1 and of_ticket = 1)
order by settled_no
