-- received: every row of every file as it came, with the import, file, sheet and line it came from.
-- grain    imports one per import, files one per file or sheet of an import, rows one per row of those, faults one per row left out,
--          texts one per run of lines of a large file: a row whose `raw` is empty stands there, packed, as its line
-- reads    nothing
-- gives    the empty tables of a new ledger, and their state: layout (of these tables), version (goes up by one at every change)
--          masked_* count what was masked in a file before it was stored; original_hash, of a row that was, how it came (`intake.masking`)
-- because  nothing that came in is ever lost: a row that does not count any more keeps its place and says why in `fate`.
--          key_hash finds the rows that may be of one key; content_hash is of older ledgers and empty now, since values are compared.
--          made says what of a row's id was made ('id', or the number of its job): that is no part of its key or content.
--          put_offs: one per task of a position that somebody put off; it holds while its import stands
--          forecasts: one per sort, part and base of a season that was foretold and kept; what came is never written beside it
--          fate is 'accepted', 'repeated', 'superseded', 'left_out' or 'undone' (its import was undone; out of every count).
create schema received;
create schema held;

create table received.state (layout bigint, version bigint, made_at timestamp, hashed_as bigint);

create table received.imports (
    import_id bigint, taken_by varchar, taken_at timestamp, mapping varchar, undone_by varchar, undone_at timestamp
);

create table received.files (
    file_id bigint, import_id bigint, file varchar, sheet varchar, sha256 varchar, kind varchar, header varchar, rows_in bigint,
    masked_names bigint, masked_telephones bigint, masked_emails bigint, masked_marks bigint
);

create table received.rows (
    row_id bigint, import_id bigint, file_id bigint, line bigint, kind varchar,
    raw varchar, key_hash bigint, content_hash bigint, fate varchar, made varchar, original_hash varchar
);

create table received.texts (file_id bigint, first_line bigint, last_line bigint, packed blob);

create table received.faults (row_id bigint, "column" varchar, value varchar, reason varchar);

create table received.settled_words (list varchar, word varchar, code varchar, settled_by varchar, settled_at timestamp);

create table received.settled_pairs (
    settled_no bigint, call_key bigint, ticket_key bigint, call_row_id bigint, ticket_row_id bigint,
    same boolean, settled_by varchar, settled_at timestamp, because varchar
);

create table received.settled_rows (
    settled_no bigint, kind varchar, key_hash bigint, row_id bigint, "column" varchar, code varchar, settled_by varchar, settled_at timestamp
);

create table received.adoptions (row_id bigint, import_id bigint, evidence_version bigint, figures varchar);

create table received.put_offs (
    put_off_no bigint, import_id bigint, engine_id varchar, vessel_id varchar, component varchar, position varchar, task varchar,
    until_on date, until_h double, put_off_on date, put_off_by varchar, because varchar, due_on date
);

create table received.forecasts (
    forecast_no bigint, import_id bigint, season varchar, known_on date, begins date, ends date, kept_on date, kept_by varchar,
    methods bigint, evidence_version bigint, sort varchar, component varchar, base varchar,
    expected double, low bigint, high bigint, chances varchar, naive varchar
);
