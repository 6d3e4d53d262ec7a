-- layout_1: the tables of a ledger as the first release declared them, kept as they were so that a ledger of that age can be made in a test.
-- grain    none: the tables are empty
-- reads    nothing
-- gives    the schemas received and held
-- because  an older ledger must come to the present layout with every value it held. Never changed.
create schema received;

create schema held;

create table received.state (layout bigint, version bigint, made_at timestamp);

create table received.imports (
    import_id bigint, taken_by varchar, taken_at timestamp, mapping varchar, undone_by varchar, undone_at timestamp
);

create table received.files (
    file_id bigint, import_id bigint, file varchar, sheet varchar, sha256 varchar, kind varchar, header varchar, rows_in bigint
);

create table received.rows (
    row_id bigint, import_id bigint, file_id bigint, line bigint, kind varchar,
    raw varchar, key_hash bigint, content_hash bigint, fate varchar
);

create table received.faults (row_id bigint, "column" varchar, value varchar, reason varchar);

create table received.settled_words (list varchar, word varchar, code varchar, settled_by varchar, settled_at timestamp);

create table held.vessels (
    row_id bigint, vessel_id varchar, name varchar, vessel_class varchar, base varchar, water varchar, bottom varchar, tank_l
    double, in_service_on date, withdrawn_on date, tickets_from_on date, calls_from_on date, extra varchar
);

create table held.engines (
    row_id bigint, engine_id varchar, vessel_id varchar, place varchar, drive varchar, fuel varchar, engine_model varchar,
    power_kw double, commissioned_on date, commissioned_h double, withdrawn_on date, planned_h_next_season double, extra varchar
);

create table held.engine_moves (
    row_id bigint, engine_id varchar, vessel_id varchar, place varchar, moved_on date, extra varchar
);

create table held.components (
    row_id bigint, component varchar, label varchar, carried_by varchar, safety boolean, hidden boolean, wear_visible boolean,
    crew_can_fit boolean, weight_kg double, extra varchar
);

create table held.fitted (
    row_id bigint, component varchar, drive varchar, fuel varchar, engine_model varchar, engine_id varchar, vessel_class varchar,
    vessel_id varchar, positions varchar, extra varchar
);

create table held.hour_readings (
    row_id bigint, engine_id varchar, read_on date, meter_h double, meter_changed boolean, old_meter_h double, extra varchar
);

create table held.service_tickets (
    row_id bigint, ticket_id varchar, line_no varchar, engine_id varchar, vessel_id varchar, place varchar, done_on date, meter_h
    double, component varchar, position varchar, action varchar, reason varchar, finding varchar, cause varchar, labour_h double,
    parts_cost double, downtime_h double, done_by varchar, batch varchar, warranty boolean, notes varchar, extra varchar
);

create table held.rescue_calls (
    row_id bigint, call_id varchar, vessel_id varchar, engine_id varchar, called_at timestamp, meter_h double, symptom varchar,
    cause varchar, component varchar, outcome varchar, downtime_h double, cost double, notes varchar, extra varchar
);

create table held.trips (
    row_id bigint, trip_id varchar, vessel_id varchar, out_at timestamp, back_at timestamp, engine_h double, fuel_l double,
    distance_nm double, extra varchar
);

create table held.parts (
    row_id bigint, part_id varchar, component varchar, engine_model varchar, base varchar, supplier varchar, on_hand bigint,
    on_order bigint, lead_time_d double, unit_cost double, pack_size bigint, quantity_per_fit double, extra varchar
);

create table held.costs (
    row_id bigint, component varchar, planned_cost double, failure_cost double, visit_cost double, currency varchar, extra varchar
);

create table held.limits (
    row_id bigint, component varchar, task varchar, engine_model varchar, max_h double, max_months double, binding boolean,
    approval_note varchar, expected_life_h double, expected_life_months double, source_note varchar, extra varchar
);

create table held.plan (
    row_id bigint, component varchar, task varchar, engine_model varchar, base varchar, every_h double, every_months double,
    adopted_on date, adopted_by varchar, reason varchar, extra varchar
);
