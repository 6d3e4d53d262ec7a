-- watched_boat_months: how long each boat was watched for calls, and what its engines ran.
-- grain    one row per boat and calendar month
-- reads    derived.engine_months
-- gives    days  watched;  engine_h  of all its engines together, empty where those of one are not known
-- because  a boat with two engines stops once, against the hours of both.
select vessel_id, month, max(days) as days, case when count(engine_h) = count(*) then sum(engine_h) end as engine_h,
       min(base) as base, min(vessel_class) as vessel_class,
       case when min(engine_model) = max(engine_model) then min(engine_model) end as engine_model
from derived.engine_months
group by vessel_id, month
order by vessel_id, month
