-- kept_already: whether the very same row counts already.
-- grain    one row per row of that kind, key and content that counts
-- reads    received.rows
-- gives    import_id  the import it came in
-- because  two touches on a button are one ticket, and taking it back once must take it back.
select import_id from received.rows
where kind = ? and key_hash = ? and content_hash = ? and fate = 'accepted'
order by row_id
