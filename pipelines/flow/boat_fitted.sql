-- boat_fitted: what sits in one boat and its engines now.
-- grain    one row per position of the boat that is still here
-- reads    derived.fitted_now
-- gives    its columns
-- because  how old each part is decides what is done next.
select * from derived.fitted_now
where vessel_id = $boat
order by component, engine_id, position
