-- hashed_anew: what people settled by the key of a row, under the key that it has now.
-- grain    one row per pair or row that was settled
-- reads    received.rows, whose hashes have just been made anew
-- gives    received.settled_pairs.call_key and ticket_key, received.settled_rows.key_hash
-- because  what a person said of a row outlives a change of the way rows are hashed.
update received.settled_pairs set call_key = r.key_hash from received.rows r where r.row_id = call_row_id;

update received.settled_pairs set ticket_key = r.key_hash from received.rows r where r.row_id = ticket_row_id;

update received.settled_rows set key_hash = r.key_hash from received.rows r where r.row_id = settled_rows.row_id
