-- kept_already: whether the record of a form counts already.
-- grain    one row per row of that id that counts, the latest first
-- reads    received.rows, files; held.service_tickets, rescue_calls
-- gives    import_id  the import it came in
-- because  two touches on a button are one ticket, and taking it back once must take it back.
select r.import_id
from received.rows r
join received.files f using (file_id)
left join held.service_tickets t on t.row_id = r.row_id
left join held.rescue_calls c on c.row_id = r.row_id
where r.kind = $kind and coalesce(t.ticket_id, c.call_id) = $id and f.file = $source and r.fate = 'accepted'
order by r.row_id desc
