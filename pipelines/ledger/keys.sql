-- keys: the key under which a row is known.
-- grain    one row, if the ledger holds a row of that number and kind that counts or counted
-- reads    received.rows; $row, the row; $kind, its record kind
-- gives    key_hash
-- because  a row may be superseded by a correction, its key stays.
select key_hash from received.rows where row_id = $row and kind = $kind and key_hash is not null and fate <> 'undone'
